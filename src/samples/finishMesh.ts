import type { Field, RawMesh } from './polygonize.ts';

/** Faces that share a vertex but no chain of edges there, or an edge three times, are taken away until none is left. */
function dropPinches(indices: Uint32Array, vertexCount: number): Uint32Array {
  let faces = indices;
  for (let round = 0; round < 20; round++) {
    const bad = new Uint8Array(vertexCount);
    const incoming = new Int32Array(vertexCount);
    const faceCountAt = new Int32Array(vertexCount);
    const seen = new Map<number, number>();
    const key = (a: number, b: number) => a * vertexCount + b;
    for (let f = 0; f < faces.length; f += 3)
      for (let k = 0; k < 3; k++) {
        const e = key(faces[f + k], faces[f + ((k + 1) % 3)]);
        const n = (seen.get(e) ?? 0) + 1;
        seen.set(e, n);
        if (n > 1) bad[faces[f + k]] = 1;
        faceCountAt[faces[f + k]]++;
      }
    // border edges leaving a vertex: more than one means sheets that only meet in the vertex
    for (let f = 0; f < faces.length; f += 3)
      for (let k = 0; k < 3; k++) {
        const [a, b] = [faces[f + k], faces[f + ((k + 1) % 3)]];
        if (!seen.has(key(b, a)) && ++incoming[b] > 1) bad[b] = 1;
      }
    // ears hanging by one vertex pair
    for (let v = 0; v < vertexCount; v++) if (faceCountAt[v] === 1) bad[v] = 1;
    if (!bad.includes(1)) return faces;
    const kept: number[] = [];
    for (let f = 0; f < faces.length; f += 3)
      if (!bad[faces[f]] && !bad[faces[f + 1]] && !bad[faces[f + 2]])
        kept.push(faces[f], faces[f + 1], faces[f + 2]);
    faces = Uint32Array.from(kept);
  }
  return faces;
}

/** Only the faces of the largest connected part. */
function largestPart(indices: Uint32Array, vertexCount: number): Uint32Array {
  const parent = new Int32Array(vertexCount).map((_, i) => i);
  const root = (start: number): number => {
    let v = start;
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
  const sizes = new Map<number, number>();
  for (let f = 0; f < indices.length; f += 3)
    sizes.set(root(indices[f]), (sizes.get(root(indices[f])) ?? 0) + 1);
  if (sizes.size === 1) return indices;
  const [largest] = [...sizes].sort((a, b) => b[1] - a[1])[0];
  return indices.filter((_, i) => root(indices[i - (i % 3)]) === largest);
}

function compact({ positions, indices }: RawMesh): RawMesh {
  const place = new Int32Array(positions.length / 3).fill(-1);
  const kept: number[] = [];
  const renamed = indices.map((v) => {
    if (place[v] < 0) {
      place[v] = kept.length / 3;
      kept.push(positions[v * 3], positions[v * 3 + 1], positions[v * 3 + 2]);
    }
    return place[v];
  });
  return { positions: Float64Array.from(kept), indices: renamed };
}

/** Area-weighted unit vertex normals, 3 per vertex. */
export function vertexNormals({ positions, indices }: RawMesh): Float64Array {
  const normals = new Float64Array(positions.length);
  for (let f = 0; f < indices.length; f += 3) {
    const [a, b, c] = [indices[f] * 3, indices[f + 1] * 3, indices[f + 2] * 3];
    const [ux, uy, uz] = [0, 1, 2].map((k) => positions[b + k] - positions[a + k]);
    const [vx, vy, vz] = [0, 1, 2].map((k) => positions[c + k] - positions[a + k]);
    const [x, y, z] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    for (const o of [a, b, c]) {
      normals[o] += x;
      normals[o + 1] += y;
      normals[o + 2] += z;
    }
  }
  for (let o = 0; o < normals.length; o += 3) {
    const l = Math.hypot(normals[o], normals[o + 1], normals[o + 2]) || 1;
    normals[o] /= l;
    normals[o + 1] /= l;
    normals[o + 2] /= l;
  }
  return normals;
}

/** Draws every vertex toward the middle of its neighbours (border vertices: along the border), then back onto the field's surface. */
function even(mesh: RawMesh, field: Field, stepMm: number): void {
  const { positions, indices } = mesh;
  const n = positions.length / 3;
  const sums = new Float64Array(n * 3);
  const counts = new Float64Array(n);
  const borderNext = new Map<number, number>();
  const edges = new Set<number>();
  for (let f = 0; f < indices.length; f += 3)
    for (let k = 0; k < 3; k++) {
      const [a, b] = [indices[f + k], indices[f + ((k + 1) % 3)]];
      edges.add(a * n + b);
      for (let d = 0; d < 3; d++) sums[a * 3 + d] += positions[b * 3 + d];
      counts[a]++;
    }
  for (const e of edges) {
    const a = Math.floor(e / n);
    const b = e - a * n;
    if (!edges.has(b * n + a)) borderNext.set(a, b);
  }
  const borderSums = new Map<number, number[]>();
  for (const [a, b] of borderNext) {
    for (const [at, other] of [
      [a, b],
      [b, a],
    ]) {
      const s = borderSums.get(at) ?? [0, 0, 0];
      for (let d = 0; d < 3; d++) s[d] += positions[other * 3 + d] / 2;
      borderSums.set(at, s);
    }
  }
  const normals = vertexNormals(mesh);
  for (let v = 0; v < n; v++) {
    const o = v * 3;
    const border = borderSums.get(v);
    const target = border ?? [sums[o] / counts[v], sums[o + 1] / counts[v], sums[o + 2] / counts[v]];
    for (let d = 0; d < 3; d++) positions[o + d] += 0.5 * (target[d] - positions[o + d]);
    for (let i = 0; i < 2; i++) {
      const f = field.value(positions[o], positions[o + 1], positions[o + 2]);
      const move = Math.max(-0.5 * stepMm, Math.min(0.5 * stepMm, f));
      for (let d = 0; d < 3; d++) positions[o + d] -= move * normals[o + d];
    }
  }
}

/** A clean mesh from the raw one: one part, one sheet everywhere, evened triangles lying on the field's surface. */
export function finishMesh(raw: RawMesh, field: Field, stepMm: number, rounds: number): RawMesh {
  const vertexCount = raw.positions.length / 3;
  const mesh = compact({
    positions: raw.positions,
    indices: largestPart(dropPinches(raw.indices, vertexCount), vertexCount),
  });
  for (let i = 0; i < rounds; i++) even(mesh, field, stepMm);
  return mesh;
}
