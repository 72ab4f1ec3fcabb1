import { BufferAttribute, BufferGeometry, DoubleSide, Ray, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { normalize, type Vec3 } from '../base/Vec3.ts';
import { mortonTree } from './mortonTree.ts';
import type { ScanMesh } from './ScanMesh.ts';

/** A point of the surface. */
export interface SurfaceHit {
  readonly pointMm: Vec3;
  readonly faceIndex: number; // face of the mesh, as in its `indices`
  readonly distanceMm: number; // from the point or ray origin asked about
  readonly normal: Vec3; // of the face, unit, outward by its winding
}

/** Fast questions to a mesh. All points and directions are in the scan's frame. */
export interface SurfaceIndex {
  readonly mesh: ScanMesh;
  /** The first point a ray meets, from either side, no farther than `maxMm`; the direction need not be a unit. */
  raycast(originMm: Vec3, direction: Vec3, maxMm?: number): SurfaceHit | null;
  /** The surface point nearest to a point, no farther than `maxMm`. */
  closestPoint(pointMm: Vec3, maxMm?: number): SurfaceHit | null;
  /** The faces that touch a ball, in rising order. */
  facesWithin(centerMm: Vec3, radiusMm: number): Uint32Array;
}

/** A surface index as plain buffers, to be moved between threads. */
export interface PackedSurfaceIndex {
  readonly roots: readonly ArrayBuffer[];
  readonly faceOrder: Uint32Array;
}

/**
 * Builds the index of a mesh; the mesh's own arrays are used, not copied, and must not change.
 *
 * The tree is `indirect`: it leaves the faces in place, so that face numbers are the mesh's own.
 * Accuracy: the same point and face as a search through all faces — tests/core/scan/surfaceIndex.test.ts.
 */
export function surfaceIndex(mesh: ScanMesh): SurfaceIndex {
  const { faceOrder, nodes } = mortonTree(mesh.positions, mesh.indices);
  return new BvhIndex(mesh, { roots: [nodes], faceOrder });
}

/** The buffers of an index, shared and not copied: transferring them ends the index here. */
export function packSurfaceIndex(index: SurfaceIndex): PackedSurfaceIndex {
  if (!(index instanceof BvhIndex))
    throw new Error('packSurfaceIndex: got an index not made by surfaceIndex.');
  return index.packed;
}

/** The index again, from its buffers and the mesh it was built over; nothing is computed. */
export function unpackSurfaceIndex(mesh: ScanMesh, packed: PackedSurfaceIndex): SurfaceIndex {
  return new BvhIndex(mesh, packed);
}

class BvhIndex implements SurfaceIndex {
  readonly mesh: ScanMesh;
  readonly packed: PackedSurfaceIndex;
  private readonly bvh: MeshBVH;
  private readonly ray = new Ray();
  private readonly point = new Vector3();

  constructor(mesh: ScanMesh, packed: PackedSurfaceIndex) {
    this.mesh = mesh;
    this.packed = packed;
    const geometry = new BufferGeometry();
    geometry.setAttribute('position', new BufferAttribute(mesh.positions, 3));
    geometry.setIndex(new BufferAttribute(mesh.indices, 1));
    const serialized = {
      version: 1,
      roots: [...packed.roots],
      index: mesh.indices,
      indirectBuffer: packed.faceOrder,
    };
    this.bvh = MeshBVH.deserialize(serialized, geometry, { setIndex: false });
  }

  raycast(originMm: Vec3, direction: Vec3, maxMm = Infinity): SurfaceHit | null {
    this.ray.origin.set(...originMm);
    this.ray.direction.set(...normalize(direction));
    const hit = this.bvh.raycastFirst(this.ray, DoubleSide, 0, maxMm);
    if (!hit) return null;
    return this.hit(hit.point, hit.faceIndex!, hit.distance);
  }

  closestPoint(pointMm: Vec3, maxMm = Infinity): SurfaceHit | null {
    this.point.set(...pointMm);
    // The library leaves out what lies exactly at the limit and may give what lies beyond it.
    const target = { point: new Vector3(), distance: 0, faceIndex: 0 };
    const hit = this.bvh.closestPointToPoint(this.point, target, 0, maxMm * (1 + 1e-12) + 1e-12);
    if (!hit || hit.distance > maxMm) return null;
    return this.hit(hit.point, hit.faceIndex, hit.distance);
  }

  facesWithin(centerMm: Vec3, radiusMm: number): Uint32Array {
    const center = new Vector3(...centerMm);
    const nearest = new Vector3();
    const faces: number[] = [];
    this.bvh.shapecast({
      intersectsBounds: (box) => box.distanceToPoint(center) <= radiusMm,
      intersectsTriangle: (triangle, face) => {
        triangle.closestPointToPoint(center, nearest);
        if (nearest.distanceTo(center) <= radiusMm) faces.push(face);
        return false;
      },
    });
    return Uint32Array.from(faces).sort();
  }

  private hit(point: Vector3, faceIndex: number, distanceMm: number): SurfaceHit {
    return {
      pointMm: [point.x, point.y, point.z],
      faceIndex,
      distanceMm,
      normal: faceNormal(this.mesh, faceIndex),
    };
  }
}

/** Unit normal of a face by its winding; [0, 0, 1] where it has no area. */
function faceNormal({ positions, indices }: ScanMesh, faceIndex: number): Vec3 {
  const a = indices[3 * faceIndex] * 3;
  const b = indices[3 * faceIndex + 1] * 3;
  const c = indices[3 * faceIndex + 2] * 3;
  const [ux, uy, uz] = [
    positions[b] - positions[a],
    positions[b + 1] - positions[a + 1],
    positions[b + 2] - positions[a + 2],
  ];
  const [vx, vy, vz] = [
    positions[c] - positions[a],
    positions[c + 1] - positions[a + 1],
    positions[c + 2] - positions[a + 2],
  ];
  const [x, y, z] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  const size = Math.sqrt(x * x + y * y + z * z);
  return size > 0 ? [x / size, y / size, z / size] : [0, 0, 1];
}
