import type { ScanMesh } from '../../src/core/scan/ScanMesh.ts';
import { vertexNormals } from '../../src/core/scan/vertexNormals.ts';

/** A mesh from lists of coordinates and corners. */
export function makeMesh(positions: ArrayLike<number>, indices: ArrayLike<number>): ScanMesh {
  const mesh = { positions: Float32Array.from(positions), indices: Uint32Array.from(indices) };
  return { ...mesh, normals: vertexNormals(mesh.positions, mesh.indices).normals, colors: null };
}

/** A box from the origin, 12 triangles, outward. */
export function makeBox(xMm = 1, yMm = 1, zMm = 1): ScanMesh {
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].flatMap((i) => [
    i & 1 ? xMm : 0,
    i & 2 ? yMm : 0,
    i & 4 ? zMm : 0,
  ]);
  const quads = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ];
  return makeMesh(
    corners,
    quads.flatMap(([a, b, c, d]) => [a, b, c, a, c, d]),
  );
}

/** A sphere by halving an octahedron's edges: 8 · 4^level triangles, outward. */
export function makeSphere(radiusMm = 1, level = 4): ScanMesh {
  let points = [1, 0, 0, -1, 0, 0, 0, 1, 0, 0, -1, 0, 0, 0, 1, 0, 0, -1];
  let faces = [0, 2, 4, 2, 1, 4, 1, 3, 4, 3, 0, 4, 2, 0, 5, 1, 2, 5, 3, 1, 5, 0, 3, 5];
  for (let step = 0; step < level; step++) {
    const middles = new Map<string, number>();
    const middle = (a: number, b: number): number => {
      const key = a < b ? `${a} ${b}` : `${b} ${a}`;
      const known = middles.get(key);
      if (known !== undefined) return known;
      const sum = [0, 1, 2].map((k) => points[3 * a + k] + points[3 * b + k]);
      const size = Math.hypot(...sum);
      points.push(...sum.map((s) => s / size));
      middles.set(key, points.length / 3 - 1);
      return points.length / 3 - 1;
    };
    const next: number[] = [];
    for (let i = 0; i < faces.length; i += 3) {
      const [a, b, c] = faces.slice(i, i + 3);
      const [ab, bc, ca] = [middle(a, b), middle(b, c), middle(c, a)];
      next.push(a, ab, ca, b, bc, ab, c, ca, bc, ab, bc, ca);
    }
    faces = next;
  }
  points = points.map((c) => c * radiusMm);
  return makeMesh(points, faces);
}

/** A torus round the z axis, 2 · along · around triangles, outward. */
export function makeTorus(ringMm: number, tubeMm: number, along = 64, around = 32): ScanMesh {
  const points: number[] = [];
  const faces: number[] = [];
  for (let i = 0; i < along; i++) {
    for (let j = 0; j < around; j++) {
      const u = (2 * Math.PI * i) / along;
      const v = (2 * Math.PI * j) / around;
      const r = ringMm + tubeMm * Math.cos(v);
      points.push(r * Math.cos(u), r * Math.sin(u), tubeMm * Math.sin(v));
      const [p, q] = [i * around, ((i + 1) % along) * around];
      const next = (j + 1) % around;
      faces.push(p + j, q + j, q + next, p + j, q + next, p + next);
    }
  }
  return makeMesh(points, faces);
}

/**
 * An open strip bent like an arch, about 70 × 50 × 16 mm, with a bump for each of fourteen teeth: about
 * `triangles` triangles in rows across the strip, as scanners write them. Not a likeness of teeth.
 */
export function makeArchStrip(triangles: number, random: () => number = () => 0.5): ScanMesh {
  const across = Math.max(4, Math.round(Math.sqrt(triangles / 2 / 5)));
  const along = Math.max(8, Math.round(triangles / 2 / across));
  const points = new Float32Array((along + 1) * (across + 1) * 3);
  let at = 0;
  for (let i = 0; i <= along; i++) {
    const angle = Math.PI * (i / along);
    const [cx, cy] = [Math.cos(angle), Math.sin(angle)];
    const tooth = Math.abs(Math.sin(14 * angle));
    for (let j = 0; j <= across; j++) {
      const side = (2 * j) / across - 1; // -1 inside … 1 outside
      const height = 12 * (1 - side ** 4) * (0.7 + 0.3 * tooth) + 0.03 * (random() - 0.5);
      const out = side * (4 + tooth);
      points[at++] = (30 + out) * cx;
      points[at++] = (45 + out) * cy;
      points[at++] = height;
    }
  }
  const indices = new Uint32Array(along * across * 6);
  let corner = 0;
  for (let i = 0; i < along; i++) {
    for (let j = 0; j < across; j++) {
      const p = i * (across + 1) + j;
      const q = p + across + 1;
      indices[corner++] = p;
      indices[corner++] = p + 1;
      indices[corner++] = q + 1;
      indices[corner++] = p;
      indices[corner++] = q + 1;
      indices[corner++] = q;
    }
  }
  return makeMesh(points, indices);
}
