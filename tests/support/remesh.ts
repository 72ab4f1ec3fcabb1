import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import type { ScanMesh } from '../../src/core/scan/ScanMesh.ts';
import { makeSpatialNoise } from '../../src/samples/scannerNoise.ts';
import { makeMesh } from './meshes.ts';

/**
 * The same surface in other triangles: every edge is split at a place drawn between 0.3 and 0.7 of it, then the
 * mesh is thinned to about `triangles`, leaving the surface by 0.01 mm at most where it can.
 */
export async function remeshed(
  { positions, indices }: Pick<ScanMesh, 'positions' | 'indices'>,
  triangles: number,
  random: () => number,
): Promise<ScanMesh> {
  const points = [...positions];
  const splits = new Map<number, number>();
  const vertexCount = positions.length / 3;
  const split = (a: number, b: number): number => {
    const [low, high] = a < b ? [a, b] : [b, a];
    const key = low * vertexCount + high;
    const known = splits.get(key);
    if (known !== undefined) return known;
    const t = 0.3 + 0.4 * random();
    for (let k = 0; k < 3; k++) points.push(positions[3 * low + k] * (1 - t) + positions[3 * high + k] * t);
    splits.set(key, points.length / 3 - 1);
    return points.length / 3 - 1;
  };
  const faces = new Uint32Array(indices.length * 4);
  for (let i = 0; i < indices.length; i += 3) {
    const [a, b, c] = [indices[i], indices[i + 1], indices[i + 2]];
    const [ab, bc, ca] = [split(a, b), split(b, c), split(c, a)];
    faces.set([a, ab, ca, b, bc, ab, c, ca, bc, ab, bc, ca], 4 * i);
  }
  await MeshoptSimplifier.ready;
  const fine = Float32Array.from(points);
  const [fewer] = MeshoptSimplifier.simplify(faces, fine, 3, 3 * triangles, 0.02, ['ErrorAbsolute']);
  const [remap, count] = MeshoptSimplifier.compactMesh(fewer);
  const kept = new Float32Array(3 * count);
  for (let v = 0; v < remap.length; v++)
    if (remap[v] !== 0xffffffff) kept.set(fine.subarray(3 * v, 3 * v + 3), 3 * remap[v]);
  return makeMesh(kept, fewer);
}

/** The same surface by other vertices: each is moved along an edge of its own, by up to 0.4 of it. */
export function jittered(
  { positions, indices }: Pick<ScanMesh, 'positions' | 'indices'>,
  random: () => number,
): ScanMesh {
  const moved = Float32Array.from(positions);
  const seen = new Uint8Array(positions.length / 3);
  for (let i = 0; i < indices.length; i++) {
    const v = indices[i];
    if (seen[v] || random() < 0.7) continue; // so that it is not always the first edge met
    seen[v] = 1;
    const to = indices[i % 3 === 2 ? i - 2 : i + 1];
    const t = 0.4 * random();
    for (let k = 0; k < 3; k++) moved[3 * v + k] = positions[3 * v + k] * (1 - t) + positions[3 * to + k] * t;
  }
  return makeMesh(moved, indices);
}

/** Every vertex shifted along its normal by smooth noise of this RMS, mm. */
export function noisy(mesh: ScanMesh, rmsMm: number, seed: number): ScanMesh {
  const noise = makeSpatialNoise(seed);
  const { positions: p, normals: n } = mesh;
  const positions = new Float32Array(p.length);
  for (let i = 0; i < p.length; i += 3) {
    const off = rmsMm * noise(p[i], p[i + 1], p[i + 2]);
    for (let k = 0; k < 3; k++) positions[i + k] = p[i + k] + off * n[i + k];
  }
  return makeMesh(positions, mesh.indices);
}
