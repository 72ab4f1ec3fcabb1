import type { Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { ComparedScan } from './ComparedScan.ts';
import { movedBy, type RigidMotion } from './RigidMotion.ts';

/**
 * Signed distances of the earlier scan's vertices from the later surface, mm; positive: the later surface lies
 * outside. NaN where none is near, or the place belongs to no crown.
 */
export interface ArchDeviation {
  readonly wholeArch: Float32Array; // per vertex, the arch laid over itself by what stood still
  readonly eachTooth: Float32Array; // per vertex of a crown, each crown laid over itself
}

const REACH_MM = 3;
/** In a mesh of more vertices one of each small cell is asked for the rest: a map shows no more. */
const DENSE_VERTICES = 150_000;
const CELL_MM = 0.25;

/** For each vertex the first vertex of the same crown in its cell of space. */
function cellFirsts(positions: Float32Array, label: Uint8Array): Uint32Array {
  const cells = new Map<number, number>();
  const first = new Uint32Array(label.length);
  for (let v = 0; v < label.length; v++) {
    let key = label[v];
    for (let k = 0; k < 3; k++) key = key * 4096 + (Math.floor(positions[3 * v + k] / CELL_MM) & 4095);
    const known = cells.get(key);
    if (known === undefined) cells.set(key, v);
    first[v] = known ?? v;
  }
  return first;
}

function signedDistance(later: ComparedScan, point: Vec3): number {
  const hit = later.index.closestPoint(point, REACH_MM);
  if (!hit) return Number.NaN;
  const [x, y, z] = [point[0] - hit.pointMm[0], point[1] - hit.pointMm[1], point[2] - hit.pointMm[2]];
  const inside = x * hit.normal[0] + y * hit.normal[1] + z * hit.normal[2] < 0;
  return inside ? hit.distanceMm : -hit.distanceMm;
}

/** Deviations for a map to be looked at; not a measurement. */
export function archDeviation(
  earlier: ComparedScan,
  later: ComparedScan,
  still: RigidMotion,
  crowns: readonly { readonly tooth: Tooth; readonly motion: RigidMotion }[],
): ArchDeviation {
  const { positions, indices } = earlier.index.mesh;
  const count = positions.length / 3;
  const wholeArch = new Float32Array(count);
  const eachTooth = new Float32Array(count).fill(Number.NaN);
  const label = new Uint8Array(count);
  for (let i = 0; i < indices.length; i++) {
    const own = earlier.map.faceCrown[Math.floor(i / 3)];
    if (own !== 0) label[indices[i]] = own;
  }
  const motionOf = new Map(crowns.map(({ tooth, motion }) => [earlier.crowns.get(tooth)!.label, motion]));
  const first = count > DENSE_VERTICES ? cellFirsts(positions, label) : null;
  for (let v = 0; v < count; v++) {
    const like = first?.[v] ?? v;
    if (like !== v) {
      wholeArch[v] = wholeArch[like];
      eachTooth[v] = eachTooth[like];
      continue;
    }
    const point: Vec3 = [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]];
    wholeArch[v] = signedDistance(later, movedBy(still, point));
    const motion = motionOf.get(label[v]);
    if (motion) eachTooth[v] = signedDistance(later, movedBy(motion, point));
  }
  return { wholeArch, eachTooth };
}
