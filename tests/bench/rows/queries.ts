import { BufferAttribute, BufferGeometry, DoubleSide, Ray, Vector3 } from 'three';
import { CENTER, MeshBVH } from 'three-mesh-bvh';
import { subtract, type Vec3 } from '../../../src/core/base/Vec3.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import { packSurfaceIndex, surfaceIndex, unpackSurfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeArchStrip } from '../../support/meshes.ts';
import { makeRandom } from '../../support/random.ts';
import { type BenchCase, SIZES } from '../BenchCase.ts';

const QUERIES = 2000;

function stockIndex({ positions, indices }: ScanMesh): MeshBVH {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions, 3));
  geometry.setIndex(new BufferAttribute(indices, 1));
  return new MeshBVH(geometry, { strategy: CENTER, indirect: true });
}

/** Points of the surface, each with a place near it and an eye above it. */
function questions({
  positions,
}: ScanMesh): readonly { readonly target: Vec3; readonly near: Vec3; readonly eye: Vec3 }[] {
  const random = makeRandom(5);
  const around = (point: Vec3, size: number): Vec3 =>
    [0, 1, 2].map((k) => point[k] + (random() - 0.5) * size) as unknown as Vec3;
  return Array.from({ length: QUERIES }, () => {
    const at = 3 * Math.floor((random() * positions.length) / 3);
    const target: Vec3 = [positions[at], positions[at + 1], positions[at + 2]];
    const [x, y, z] = around(target, 60);
    return { target, near: around(target, 2), eye: [x, y, z + 60] };
  });
}

const rayCase = (triangles: number): BenchCase => ({
  name: 'first hit of a ray (ours gives the face normal too)',
  triangles,
  rounds: 5,
  setUp() {
    const mesh = makeArchStrip(triangles, makeRandom(1));
    const index = surfaceIndex(mesh);
    const stock = stockIndex(mesh);
    const asked = questions(mesh);
    const ray = new Ray();
    return {
      repeats: QUERIES,
      ours: () => asked.map(({ eye, target }) => index.raycast(eye, subtract(target, eye))),
      reference: () =>
        asked.map(({ eye, target }) => {
          ray.origin.set(...eye);
          ray.direction.set(...subtract(target, eye)).normalize();
          return stock.raycastFirst(ray, DoubleSide);
        }),
    };
  },
});

const pointCase = (triangles: number): BenchCase => ({
  name: 'closest point, from 1 mm off the surface',
  triangles,
  rounds: 5,
  setUp() {
    const mesh = makeArchStrip(triangles, makeRandom(1));
    const index = surfaceIndex(mesh);
    const stock = stockIndex(mesh);
    const asked = questions(mesh);
    const point = new Vector3();
    return {
      repeats: QUERIES,
      ours: () => asked.map(({ near }) => index.closestPoint(near)),
      reference: () => asked.map(({ near }) => stock.closestPointToPoint(point.set(...near))),
    };
  },
});

const buildCase = (triangles: number): BenchCase => ({
  name: 'surface index alone',
  triangles,
  rounds: 5,
  setUp() {
    const mesh = makeArchStrip(triangles, makeRandom(1));
    return { ours: () => surfaceIndex(mesh), reference: () => stockIndex(mesh) };
  },
});

const packCase = (triangles: number): BenchCase => ({
  name: 'pack and unpack the index (stock: serialize and deserialize with copies)',
  triangles,
  rounds: 9,
  setUp() {
    const mesh = makeArchStrip(triangles, makeRandom(1));
    const index = surfaceIndex(mesh);
    const stock = stockIndex(mesh);
    return {
      ours: () => unpackSurfaceIndex(mesh, packSurfaceIndex(index)),
      reference: () => MeshBVH.deserialize(MeshBVH.serialize(stock), stock.geometry),
    };
  },
});

export const cases: readonly BenchCase[] = [
  ...SIZES.map(buildCase),
  ...SIZES.map(rayCase),
  ...SIZES.map(pointCase),
  packCase(1_000_000),
];
