import { describe, expect, test } from 'vitest';
import { distance, dot, length, normalize, scale, subtract, type Vec3 } from '../../../src/core/base/Vec3.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import { packSurfaceIndex, surfaceIndex, unpackSurfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { closestOnFace, rayOnFace } from '../../support/bruteForce.ts';
import { makeArchStrip, makeBox, makeMesh, makeSphere, makeTorus } from '../../support/meshes.ts';
import { makeRandom } from '../../support/random.ts';

const vector = (random: () => number, size = 1): Vec3 => [
  (2 * random() - 1) * size,
  (2 * random() - 1) * size,
  (2 * random() - 1) * size,
];

/** A heap of separate triangles of very different sizes. */
function makeSoup(random: () => number, faces: number): ScanMesh {
  const corners = Array.from({ length: faces }, () => {
    const centre = vector(random, 20);
    const size = 10 ** (random() * 3 - 2);
    return [0, 1, 2].flatMap(() => vector(random, size).map((c, k) => c + centre[k]));
  });
  return makeMesh(
    corners.flat(),
    Array.from({ length: faces * 3 }, (_, i) => i),
  );
}

const meshes: readonly (readonly [string, (seed: number) => ScanMesh])[] = [
  ['arch strip', (seed) => makeArchStrip(2400, makeRandom(seed))],
  ['sphere', () => makeSphere(20, 4)],
  ['torus', () => makeTorus(20, 6, 60, 30)],
  ['soup', (seed) => makeSoup(makeRandom(seed), 1500)],
  ['one triangle', () => makeMesh([0, 0, 0, 9, 0, 0, 0, 9, 0], [0, 1, 2])],
  ['flat grid', () => flatGrid(30)],
  [
    'the same triangle 40 times',
    () => makeMesh([0, 0, 0, 9, 0, 0, 0, 9, 0], Array(40).fill([0, 1, 2]).flat()),
  ],
];

/** A grid in a plane of constant x: boxes without thickness. */
function flatGrid(n: number): ScanMesh {
  const points: number[] = [];
  const faces: number[] = [];
  for (let i = 0; i <= n; i++) for (let j = 0; j <= n; j++) points.push(7.3, i, j);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      const p = i * (n + 1) + j;
      faces.push(p, p + n + 1, p + n + 2, p, p + n + 2, p + 1);
    }
  }
  return makeMesh(points, faces);
}

const seeds = [101, 102, 103];

describe.each(meshes)('%s against a search through all faces', (_name, make) => {
  test.each(seeds)('closest point, seed %i', (seed) => {
    const mesh = make(seed);
    const index = surfaceIndex(mesh);
    const random = makeRandom(seed);
    for (let i = 0; i < 60; i++) {
      const point = vector(random, 50);
      const faces = faceNumbers(mesh).map((face) => closestOnFace(mesh, face, point));
      const expected = Math.min(...faces.map((p) => distance(p, point)));
      const hit = index.closestPoint(point)!;
      // 1e-5 mm: float64 sums over float32 corners at 50 mm.
      expect(Math.abs(hit.distanceMm - expected)).toBeLessThan(1e-5);
      expect(distance(hit.pointMm, closestOnFace(mesh, hit.faceIndex, point))).toBeLessThan(1e-4);
      expect(distance(hit.pointMm, point)).toBeCloseTo(hit.distanceMm, 9);
    }
  });

  test.each(seeds)('first hit of a ray, seed %i', (seed) => {
    const mesh = make(seed);
    const index = surfaceIndex(mesh);
    const random = makeRandom(seed + 1000);
    let hits = 0;
    for (let i = 0; i < 200; i++) {
      const origin = vector(random, 60);
      const target = vector(random, 25);
      const direction = i % 8 === 0 ? axis(i / 8) : subtract(target, origin);
      const unit = normalize(direction);
      let nearest = Number.POSITIVE_INFINITY;
      let clear = true; // false where the ray touches an edge, where rounding decides
      for (const face of faceNumbers(mesh)) {
        const { distanceMm, edgeRatio } = rayOnFace(mesh, face, origin, unit);
        if (Math.abs(edgeRatio) < 1e-6) clear = false;
        if (edgeRatio > 0 && distanceMm >= 0 && distanceMm < nearest) nearest = distanceMm;
      }
      if (!clear) continue;
      const hit = index.raycast(origin, direction);
      if (nearest === Number.POSITIVE_INFINITY) {
        expect(hit).toBeNull();
        continue;
      }
      hits++;
      expect(Math.abs(hit!.distanceMm - nearest)).toBeLessThan(1e-4);
      expect(rayOnFace(mesh, hit!.faceIndex, origin, unit).distanceMm).toBeCloseTo(nearest, 4);
      expect(index.raycast(origin, direction, nearest * 0.999)).toBeNull();
      expect(index.raycast(origin, direction, nearest * 1.001)).toEqual(hit);
    }
    if (mesh.indices.length > 300) expect(hits).toBeGreaterThan(5);
  });

  test.each(seeds)('faces that touch a ball, seed %i', (seed) => {
    const mesh = make(seed);
    const index = surfaceIndex(mesh);
    const random = makeRandom(seed + 2000);
    for (let i = 0; i < 20; i++) {
      const centre = vector(random, 25);
      const radius = random() * 15;
      const distances = faceNumbers(mesh).map((face) => distance(closestOnFace(mesh, face, centre), centre));
      if (distances.some((d) => Math.abs(d - radius) < 1e-6)) continue;
      const expected = faceNumbers(mesh).filter((face) => distances[face] <= radius);
      expect(Array.from(index.facesWithin(centre, radius))).toEqual(expected);
    }
  });
});

const faceNumbers = (mesh: ScanMesh): number[] =>
  Array.from({ length: mesh.indices.length / 3 }, (_, i) => i);
const axis = (n: number): Vec3 =>
  (
    [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
      [-1, 0, 0],
      [0, -1, 0],
      [0, 0, -1],
    ] as const
  )[n % 6];

describe('hits', () => {
  const sphere = makeSphere(10, 5);
  const index = surfaceIndex(sphere);

  test('the mesh keeps its faces in place, and normals point outward', () => {
    const before = sphere.indices.slice();
    const random = makeRandom(9);
    for (let i = 0; i < 50; i++) {
      const hit = index.closestPoint(vector(random, 30))!;
      expect(length(hit.normal)).toBeCloseTo(1, 12);
      expect(dot(hit.normal, normalize(hit.pointMm))).toBeGreaterThan(0.99);
    }
    expect(sphere.indices).toEqual(before);
  });

  test('a limit is kept to the last digit', () => {
    const box = surfaceIndex(makeBox(2, 2, 2));
    expect(box.closestPoint([1, 1, 5], 3)?.distanceMm).toBe(3);
    expect(box.closestPoint([1, 1, 5], 2.999999)).toBeNull();
    expect(box.closestPoint([1, 0.5, 2], 0)?.distanceMm).toBe(0);
  });

  test('a ray from inside meets the surface from behind; one that leads away meets nothing', () => {
    // The flat faces lie up to 0.01 mm inside the sphere.
    const exact = Math.sqrt(100 - 0.1 ** 2 - 0.2 ** 2) - 0.3;
    expect(Math.abs(index.raycast([0.1, 0.2, 0.3], [0, 0, 5])!.distanceMm - exact)).toBeLessThan(0.02);
    expect(index.raycast([0, 0, 30], [0, 0, 1])).toBeNull();
  });

  test('moving mesh and question together moves the answer', () => {
    const by: Vec3 = [64, -32, 16];
    const movedMesh = makeMesh(
      sphere.positions.map((c, i) => c + by[i % 3]),
      sphere.indices,
    );
    const hit = index.closestPoint([3, 30, 4])!;
    const movedHit = surfaceIndex(movedMesh).closestPoint([67, -2, 20])!;
    expect(distance(subtract(movedHit.pointMm, by), hit.pointMm)).toBeLessThan(1e-4);
  });

  test('packed and unpacked after a structured clone, the answers are equal', () => {
    const clone = structuredClone({ mesh: sphere, packed: packSurfaceIndex(index) });
    const again = unpackSurfaceIndex(clone.mesh, clone.packed);
    const random = makeRandom(4);
    for (let i = 0; i < 50; i++) {
      const from = vector(random, 40);
      expect(again.closestPoint(from)).toEqual(index.closestPoint(from));
      expect(again.raycast(from, scale(from, -1))).toEqual(index.raycast(from, scale(from, -1)));
      expect(again.facesWithin(from, 31)).toEqual(index.facesWithin(from, 31));
    }
  });
});
