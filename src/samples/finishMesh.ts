import type { Field, RawMesh } from './polygonize.ts';

/** Directed edges by their first vertex: the ends of the edges leaving vertex v are to[start[v] … start[v + 1]). */
interface Fans {
  readonly start: Int32Array;
  readonly to: Int32Array;
}

function fansOf(indices: Uint32Array, vertexCount: number): Fans {
  const start = new Int32Array(vertexCount + 1);
  for (let i = 0; i < indices.length; i++) start[indices[i] + 1]++;
  for (let v = 0; v < vertexCount; v++) start[v + 1] += start[v];
  const fill = start.slice();
  const to = new Int32Array(indices.length);
  for (let f = 0; f < indices.length; f += 3) {
    to[fill[indices[f]]++] = indices[f + 1];
    to[fill[indices[f + 1]]++] = indices[f + 2];
    to[fill[indices[f + 2]]++] = indices[f];
  }
  return { start, to };
}

/** How often the directed edge a → b occurs. */
function edgeCount({ start, to }: Fans, a: number, b: number): number {
  let n = 0;
  for (let i = start[a]; i < start[a + 1]; i++) if (to[i] === b) n++;
  return n;
}

/**
 * Takes away the faces at vertices where sheets only touch, at edges used more than once in one direction,
 * and ears of a single face, until none is left.
 */
function dropPinches(indices: Uint32Array, vertexCount: number): Uint32Array {
  let faces = indices;
  for (let round = 0; round < 20; round++) {
    const fans = fansOf(faces, vertexCount);
    const bad = new Uint8Array(vertexCount);
    let found = false;
    for (let v = 0; v < vertexCount; v++) {
      const first = fans.start[v];
      const last = fans.start[v + 1];
      if (first === last) continue;
      let borders = 0;
      let spoilt = last - first === 1;
      for (let i = first; i < last; i++) {
        const n = fans.to[i];
        if (edgeCount(fans, n, v) === 0) borders++;
        if (edgeCount(fans, v, n) > 1) spoilt = true;
      }
      if (spoilt || borders > 1) {
        bad[v] = 1;
        found = true;
      }
    }
    if (!found) return faces;
    const kept = new Uint32Array(faces.length);
    let n = 0;
    for (let f = 0; f < faces.length; f += 3) {
      if (bad[faces[f]] || bad[faces[f + 1]] || bad[faces[f + 2]]) continue;
      kept[n++] = faces[f];
      kept[n++] = faces[f + 1];
      kept[n++] = faces[f + 2];
    }
    faces = kept.slice(0, n);
  }
  return faces;
}

/** Closes every border loop but the longest with a fan round a new vertex: the small holes left by taking pinches away. */
function closeHoles({ positions, indices }: RawMesh): RawMesh {
  const n = positions.length / 3;
  const { after } = borderOf(fansOf(indices, n), n);
  const seen = new Uint8Array(n);
  const loops: number[][] = [];
  for (let v = 0; v < n; v++) {
    if (after[v] < 0 || seen[v]) continue;
    const loop: number[] = [];
    for (let w = v; w >= 0 && !seen[w]; w = after[w]) {
      seen[w] = 1;
      loop.push(w);
    }
    loops.push(loop);
  }
  loops.sort((a, b) => b.length - a.length);
  const points: number[] = [];
  const faces: number[] = [];
  for (const loop of loops.slice(1)) {
    const middle = n + points.length / 3;
    for (let d = 0; d < 3; d++) points.push(loop.reduce((s, v) => s + positions[v * 3 + d], 0) / loop.length);
    loop.forEach((v, i) => {
      faces.push(loop[(i + 1) % loop.length], v, middle);
    });
  }
  const allPositions = new Float64Array(positions.length + points.length);
  allPositions.set(positions);
  allPositions.set(points, positions.length);
  const allIndices = new Uint32Array(indices.length + faces.length);
  allIndices.set(indices);
  allIndices.set(faces, indices.length);
  return { positions: allPositions, indices: allIndices };
}

/** Only the faces of the largest connected part. */
function largestPart(indices: Uint32Array, vertexCount: number): Uint32Array {
  const parent = new Int32Array(vertexCount);
  for (let v = 0; v < vertexCount; v++) parent[v] = v;
  const root = (from: number): number => {
    let v = from;
    while (parent[v] !== v) {
      parent[v] = parent[parent[v]];
      v = parent[v];
    }
    return v;
  };
  for (let f = 0; f < indices.length; f += 3) {
    parent[root(indices[f])] = root(indices[f + 1]);
    parent[root(indices[f])] = root(indices[f + 2]);
  }
  const sizes = new Int32Array(vertexCount);
  for (let f = 0; f < indices.length; f += 3) sizes[root(indices[f])]++;
  let largest = 0;
  for (let v = 0; v < vertexCount; v++) if (sizes[v] > sizes[largest]) largest = v;
  if (sizes[largest] * 3 === indices.length) return indices;
  return indices.filter((_, i) => root(indices[i - (i % 3)]) === largest);
}

/** The same mesh without vertices that no face uses. */
function compact({ positions, indices }: RawMesh): RawMesh {
  const place = new Int32Array(positions.length / 3).fill(-1);
  const kept = new Float64Array(positions.length);
  const renamed = new Uint32Array(indices.length);
  let count = 0;
  for (let i = 0; i < indices.length; i++) {
    const v = indices[i];
    if (place[v] < 0) {
      place[v] = count;
      kept[count * 3] = positions[v * 3];
      kept[count * 3 + 1] = positions[v * 3 + 1];
      kept[count * 3 + 2] = positions[v * 3 + 2];
      count++;
    }
    renamed[i] = place[v];
  }
  return { positions: kept.slice(0, count * 3), indices: renamed };
}

/** Area-weighted unit vertex normals, 3 per vertex. */
export function vertexNormals({ positions: p, indices }: RawMesh): Float64Array {
  const normals = new Float64Array(p.length);
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f] * 3;
    const b = indices[f + 1] * 3;
    const c = indices[f + 2] * 3;
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const vz = p[c + 2] - p[a + 2];
    const x = uy * vz - uz * vy;
    const y = uz * vx - ux * vz;
    const z = ux * vy - uy * vx;
    normals[a] += x;
    normals[a + 1] += y;
    normals[a + 2] += z;
    normals[b] += x;
    normals[b + 1] += y;
    normals[b + 2] += z;
    normals[c] += x;
    normals[c + 1] += y;
    normals[c + 2] += z;
  }
  for (let o = 0; o < normals.length; o += 3) {
    const l = Math.sqrt(normals[o] ** 2 + normals[o + 1] ** 2 + normals[o + 2] ** 2) || 1;
    normals[o] /= l;
    normals[o + 1] /= l;
    normals[o + 2] /= l;
  }
  return normals;
}

/** The vertices before and after each border vertex along the border; −1 elsewhere. */
function borderOf(fans: Fans, vertexCount: number): { before: Int32Array; after: Int32Array } {
  const before = new Int32Array(vertexCount).fill(-1);
  const after = new Int32Array(vertexCount).fill(-1);
  for (let v = 0; v < vertexCount; v++)
    for (let i = fans.start[v]; i < fans.start[v + 1]; i++)
      if (edgeCount(fans, fans.to[i], v) === 0) {
        after[v] = fans.to[i];
        before[fans.to[i]] = v;
      }
  return { before, after };
}

/** A clean mesh from the raw one: one part, one sheet everywhere, evened triangles lying on the field's surface. */
export function finishMesh(raw: RawMesh, field: Field, stepMm: number, rounds: number): RawMesh {
  const rawCount = raw.positions.length / 3;
  const mesh = closeHoles(
    compact({
      positions: raw.positions,
      indices: largestPart(dropPinches(raw.indices, rawCount), rawCount),
    }),
  );
  const { positions } = mesh;
  const n = positions.length / 3;
  const fans = fansOf(mesh.indices, n);
  const border = borderOf(fans, n);
  const borderVertices = [...border.after.keys()].filter((v) => border.after[v] >= 0);
  const settle = (v: number, normals: Float64Array) => {
    const o = v * 3;
    for (let i = 0; i < 2; i++) {
      const f = field.value(positions[o], positions[o + 1], positions[o + 2]);
      const move = Math.max(-0.5 * stepMm, Math.min(0.5 * stepMm, f));
      for (let d = 0; d < 3; d++) positions[o + d] -= move * normals[o + d];
    }
  };
  // the border is a staircase of the grid: smooth it along itself first
  for (let round = 0; round < 6; round++) {
    const normals = vertexNormals(mesh);
    for (const v of borderVertices) {
      const [a, b] = [border.before[v] * 3, border.after[v] * 3];
      for (let d = 0; d < 3; d++)
        positions[v * 3 + d] += 0.5 * ((positions[a + d] + positions[b + d]) / 2 - positions[v * 3 + d]);
    }
    for (const v of borderVertices) settle(v, normals);
  }
  for (let round = 0; round < rounds; round++) {
    const normals = vertexNormals(mesh);
    for (let v = 0; v < n; v++) {
      if (border.after[v] >= 0) continue;
      const o = v * 3;
      const first = fans.start[v];
      const last = fans.start[v + 1];
      let x = 0;
      let y = 0;
      let z = 0;
      for (let i = first; i < last; i++) {
        const q = fans.to[i] * 3;
        x += positions[q];
        y += positions[q + 1];
        z += positions[q + 2];
      }
      const share = 0.5 / (last - first);
      positions[o] = 0.5 * positions[o] + share * x;
      positions[o + 1] = 0.5 * positions[o + 1] + share * y;
      positions[o + 2] = 0.5 * positions[o + 2] + share * z;
      settle(v, normals);
    }
  }
  return mesh;
}
