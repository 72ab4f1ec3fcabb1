import { add, cross, distance, dot, scale, subtract, type Vec3 } from '../../src/core/base/Vec3.ts';
import type { ScanMesh } from '../../src/core/scan/ScanMesh.ts';

const cornersOfFace = ({ positions, indices }: ScanMesh, face: number): readonly [Vec3, Vec3, Vec3] => {
  const corner = (k: number): Vec3 => {
    const at = 3 * indices[3 * face + k];
    return [positions[at], positions[at + 1], positions[at + 2]];
  };
  return [corner(0), corner(1), corner(2)];
};

/** Nearest point of one face: the foot on its plane where that is inside, else the nearest of its edges. */
export function closestOnFace(mesh: ScanMesh, face: number, point: Vec3): Vec3 {
  const [a, b, c] = cornersOfFace(mesh, face);
  const normal = cross(subtract(b, a), subtract(c, a));
  const size = dot(normal, normal);
  const candidates = [onEdge(a, b, point), onEdge(b, c, point), onEdge(c, a, point)];
  if (size > 0) {
    const foot = subtract(point, scale(normal, dot(subtract(point, a), normal) / size));
    const inside = [
      [a, b],
      [b, c],
      [c, a],
    ].every(([p, q]) => dot(cross(subtract(q, p), subtract(foot, p)), normal) >= 0);
    if (inside) return foot;
  }
  return candidates.reduce((best, p) => (distance(p, point) < distance(best, point) ? p : best));
}

function onEdge(a: Vec3, b: Vec3, point: Vec3): Vec3 {
  const along = subtract(b, a);
  const size = dot(along, along);
  const ratio = size > 0 ? Math.max(0, Math.min(1, dot(subtract(point, a), along) / size)) : 0;
  return add(a, scale(along, ratio));
}

/**
 * Where a ray (unit direction) meets the plane of a face, and how far inside the face that is: the smallest
 * barycentric weight, negative outside. By volumes of tetrahedra, not by the method of the index.
 */
export function rayOnFace(
  mesh: ScanMesh,
  face: number,
  origin: Vec3,
  unit: Vec3,
): { readonly distanceMm: number; readonly edgeRatio: number } {
  const [a, b, c] = cornersOfFace(mesh, face).map((corner) => subtract(corner, origin)) as [Vec3, Vec3, Vec3];
  const weights = [dot(unit, cross(b, c)), dot(unit, cross(c, a)), dot(unit, cross(a, b))];
  const total = weights[0] + weights[1] + weights[2];
  if (Math.abs(total) < 1e-12) return { distanceMm: Number.POSITIVE_INFINITY, edgeRatio: -1 };
  const normal = cross(subtract(b, a), subtract(c, a));
  return {
    distanceMm: dot(a, normal) / dot(unit, normal),
    edgeRatio: Math.min(...weights.map((w) => w / total)),
  };
}
