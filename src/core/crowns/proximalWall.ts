import { add, dot, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import type { LocalAxes } from './localPatch.ts';

/** Where rays from inside a crown leave it toward one proximal side; [out, aside, up] in local axes, mm. */
export interface WallStart {
  readonly exits: readonly Vec3[];
  readonly insideMm: Vec3; // the point within the crown, scan frame
  /** The wall's level at the origin, mm along out. */
  readonly outMm: number;
}

const DEPTHS_MM = [1.5, 2.1, 1.1];
const HEIGHTS_MM = [-0.2, -0.7, -1.2];
const COVER_MM = 0.8; // of crown above the inside point
const ASIDES_MM = [-1.6, -1.2, -0.8, -0.4, 0, 0.4, 0.8, 1.2, 1.6];
const FAN_ASIDE_MM = [-1.4, -0.9, -0.45, 0, 0.45, 0.9, 1.4];
const WIDE_FAN_ASIDE_MM = [-3.2, -2.6, -2, -1.5, 1.5, 2, 2.6, 3.2];
const FAN_UP_MM = [-0.8, -0.1, 0.6];
const ABOVE_MM = 9;
const FARTHEST_OUT_MM = 1.4;
const DEEPEST_MM = -1.1;
const EXIT_FACING = 0.45; // a ray that leaves through the biting surface meets it flatter than this
const BEND = 0.15; // 1/mm, sag of a middling wall off its middle
const LEAST_EXITS = 4;
const FEW_EXITS = 8; // so few that the contact is fused widely and the flanks must be asked

const at = (axes: LocalAxes, out: number, aside: number, up: number): Vec3 =>
  add(axes.originMm, add(scale(axes.out, out), add(scale(axes.aside, aside), scale(axes.up, up))));

const CREASE_STEP_MM = 0.3;
const CREASE_STEPS = 6;
const CREASE_FALL_MM = 0.15;
const CREASE_RISE_MM = 0.25;

/**
 * How far inward of the origin the crease between the crown and its neighbour runs, when the origin lies on
 * the neighbour: seen from above the surface then falls going inward before it rises to the crown. 0 otherwise.
 */
export function creaseInward(index: SurfaceIndex, axes: LocalAxes): number {
  const down = scale(axes.up, -1);
  const tops: number[] = [];
  for (let k = 0; k <= CREASE_STEPS; k++) {
    const hit = index.raycast(at(axes, -k * CREASE_STEP_MM, 0, ABOVE_MM), down, 2 * ABOVE_MM);
    tops.push(hit ? ABOVE_MM - hit.distanceMm : -ABOVE_MM);
  }
  let lowest = 0;
  while (lowest < CREASE_STEPS && tops[lowest + 1] < tops[lowest]) lowest++;
  const rise = Math.max(...tops.slice(lowest)) - tops[lowest];
  const isCrease = lowest > 0 && tops[0] - tops[lowest] > CREASE_FALL_MM && rise > CREASE_RISE_MM;
  return isCrease ? lowest * CREASE_STEP_MM : 0;
}

/** A point inside the crown, inward of the origin and midway across it at that height; null where there is none. */
function insidePoint(index: SurfaceIndex, axes: LocalAxes): Vec3 | null {
  const down = scale(axes.up, -1);
  for (const depth of DEPTHS_MM) {
    const tops = ASIDES_MM.map((aside) => {
      const hit = index.raycast(at(axes, -depth, aside, ABOVE_MM), down, 2 * ABOVE_MM);
      return hit && dot(hit.normal, axes.up) > 0 ? ABOVE_MM - hit.distanceMm : -ABOVE_MM;
    });
    for (const height of HEIGHTS_MM) {
      const filled = tops.map((top) => top > height + COVER_MM);
      const middle = ASIDES_MM.map((_, i) => i)
        .filter((i) => filled[i])
        .sort((i, j) => Math.abs(ASIDES_MM[i]) - Math.abs(ASIDES_MM[j]))[0];
      if (middle === undefined) continue;
      let [low, high] = [middle, middle];
      while (low > 0 && filled[low - 1]) low--;
      while (high < filled.length - 1 && filled[high + 1]) high++;
      return [-depth, (ASIDES_MM[low] + ASIDES_MM[high]) / 2, height];
    }
  }
  return null;
}

/**
 * Finds one proximal wall of a crown from inside it: rays from a point within the crown leave through its own
 * wall, so that the neighbour's surface cannot be taken for it; rays that pass through a fused contact leave
 * far out and are dropped. `axes` has its origin near the contact and `out` away from the crown.
 */
export function wallFromInside(index: SurfaceIndex, axes: LocalAxes): WallStart | null {
  const inside = insidePoint(index, axes);
  if (!inside) return null;
  const origin = at(axes, inside[0], inside[1], inside[2]);
  const exits = exitsThrough(index, axes, origin, FAN_ASIDE_MM);
  if (exits.length < FEW_EXITS) exits.push(...exitsThrough(index, axes, origin, WIDE_FAN_ASIDE_MM));
  if (exits.length < LEAST_EXITS) return null;
  const levels = exits.map(([o, y, h]) => o + BEND * (y * y + h * h)).sort((a, b) => a - b);
  return { exits, insideMm: origin, outMm: levels[Math.floor(levels.length / 2)] };
}

function exitsThrough(index: SurfaceIndex, axes: LocalAxes, origin: Vec3, asides: readonly number[]): Vec3[] {
  const exits: Vec3[] = [];
  for (const aside of asides) {
    for (const up of FAN_UP_MM) {
      const direction = subtract(at(axes, 0.2, aside, up), origin);
      const hit = index.raycast(origin, direction, 4);
      if (!hit || dot(hit.normal, direction) <= 0 || dot(hit.normal, axes.out) < EXIT_FACING) continue;
      const d = subtract(hit.pointMm, axes.originMm);
      const exit: Vec3 = [dot(d, axes.out), dot(d, axes.aside), dot(d, axes.up)];
      if (exit[0] < FARTHEST_OUT_MM && exit[0] > DEEPEST_MM) exits.push(exit);
    }
  }
  return exits;
}
