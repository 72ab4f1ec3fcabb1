import { add, cross, distance, dot, mix, normalize, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import { type FacingWalls, fromLocal, negated } from './facingWalls.ts';
import { inLocalAxes, type LocalAxes, type LocalPatch, type NearVertices } from './localPatch.ts';
import { FACING, fitWall, type WallFit } from './proximalFit.ts';

/** Where two walls come nearest. */
export interface WallDistance {
  readonly distanceMm: number;
  readonly pointsMm: readonly [Vec3, Vec3]; // on the first and second wall, scan frame
  readonly fits: readonly [WallFit, WallFit];
  /** How far the nearest place lies from the nearest pair of points the search began with, mm. */
  readonly movedMm: number;
  /** How much narrower the gap still becomes toward one side there, mm per mm; 0 at a true nearest place. */
  readonly slope: number;
}

const SQUARELY = 0.7; // least cosine between a wall's normal and the way to the other wall
const SCALES_MM = [0.25, 0.15, 0.12];
const ROUNDS = 4;
const STEP_MM = 0.25;
const ASTRAY_MM = 0.7;
const TURN_RAD = 0.3;
const TYPICAL: readonly number[] = [0, 0, 0, -0.15, 0, -0.15];

/** The nearest two points of the walls that look at each other; offsets into the two patches. */
function nearestPair(first: LocalPatch, second: LocalPatch): readonly [number, number] | null {
  const a = first.values;
  const b = second.values;
  let least = Number.POSITIVE_INFINITY;
  let found: readonly [number, number] | null = null;
  for (let p = 0; p < a.length; p += 7) {
    for (let q = 0; q < b.length; q += 7) {
      const dx = b[q] - a[p];
      const dy = b[q + 1] - a[p + 1];
      const dz = b[q + 2] - a[p + 2];
      const d2 = dx * dx + dy * dy + dz * dz;
      if (d2 >= least) continue;
      const square = SQUARELY * Math.sqrt(d2);
      if (a[p + 3] * dx + a[p + 4] * dy + a[p + 5] * dz < square) continue;
      if (-(b[q + 3] * dx + b[q + 4] * dy + b[q + 5] * dz) < square) continue;
      least = d2;
      found = [p, q];
    }
  }
  return found;
}

/** A patch of local axes in the scan frame. */
function inScan({ count, values }: LocalPatch, axes: LocalAxes): NearVertices {
  const moved = new Float64Array(values.length);
  for (let o = 0; o < values.length; o += 7) {
    moved.set(fromLocal(axes, [values[o], values[o + 1], values[o + 2]]), o);
    const normal = subtract(fromLocal(axes, [values[o + 3], values[o + 4], values[o + 5]]), axes.originMm);
    moved.set(normal, o + 3);
    moved[o + 6] = values[o + 6];
  }
  return { count, values: moved };
}

function settledFit(patch: LocalPatch, levelMm: number, kernelMm: number): WallFit | null {
  let known: readonly number[] = [levelMm, ...TYPICAL.slice(1)];
  let fit: WallFit | null = null;
  for (const scaleMm of SCALES_MM) {
    fit = fitWall(patch, known, 0, 0, scaleMm, kernelMm);
    if (!fit) return null;
    known = fit.c;
  }
  return fit;
}

/**
 * The least distance between two facing walls: from the nearest pair of their points, smooth patches of both are
 * fitted there and brought to where they come nearest, across their common normal. Null where the walls have no
 * such place or too little of them can be seen there (they touch, or a scanner's web hides them).
 *
 * Units:    mm.
 */
export function wallDistance(
  { axes: from, first, second }: FacingWalls,
  occlusal: Vec3,
  kernelMm: number,
): WallDistance | null {
  const pair = nearestPair(first.inner, second.inner);
  if (!pair) return null;
  const pointAt = ({ values: v }: LocalPatch, o: number): Vec3 => fromLocal(from, [v[o], v[o + 1], v[o + 2]]);
  const startA = pointAt(first.inner, pair[0]);
  const startB = pointAt(second.inner, pair[1]);
  const walls = [inScan(first.wall, from), inScan(second.wall, from)] as const;
  const begun = mix(startA, startB, 0.5);
  let middle = begun;
  let across = normalize(subtract(startB, startA));
  let gapMm = distance(startA, startB);
  for (let round = 0; ; round++) {
    const lean = subtract(occlusal, scale(across, dot(occlusal, across)));
    const up = Math.hypot(...lean) > 0.3 ? normalize(lean) : from.aside;
    const axes: LocalAxes = { originMm: middle, out: across, up, aside: cross(up, across) };
    const a = settledFit(inLocalAxes(walls[0], axes, FACING), -gapMm / 2, kernelMm);
    const b = settledFit(inLocalAxes(walls[1], negated(axes), FACING), -gapMm / 2, kernelMm);
    if (!a || !b) return null;
    const { y, h, gapMm: least } = leastGap(a.c, b.c);
    gapMm = least;
    const outMm = heightAt(a.c, y, h);
    const onFirst = fromLocal(axes, [outMm, y, h]);
    const movedMm = distance(fromLocal(axes, [outMm + gapMm / 2, y, h]), begun);
    if (round === ROUNDS - 1 || movedMm > ASTRAY_MM)
      return {
        distanceMm: gapMm,
        pointsMm: [onFirst, add(onFirst, scale(across, gapMm))],
        fits: [a, b],
        movedMm,
        slope: Math.hypot(
          slopeAside(a.c, y, h) - slopeAside(b.c, -y, h),
          slopeUp(a.c, y, h) + slopeUp(b.c, -y, h),
        ),
      };
    middle = fromLocal(axes, [outMm + gapMm / 2, y, h]);
    // both walls' normals, the second's axes running against the first's
    const turn = (x: number): number => Math.max(-TURN_RAD, Math.min(TURN_RAD, x));
    const asideTurn = turn(-(slopeAside(a.c, y, h) + slopeAside(b.c, -y, h)) / 2);
    const upTurn = turn((slopeUp(b.c, -y, h) - slopeUp(a.c, y, h)) / 2);
    across = normalize(add(axes.out, add(scale(axes.aside, asideTurn), scale(axes.up, upTurn))));
  }
}

const heightAt = (c: readonly number[], y: number, h: number): number =>
  c[0] + c[1] * y + c[2] * h + c[3] * y * y + c[4] * y * h + c[5] * h * h;
const slopeAside = (c: readonly number[], y: number, h: number): number => c[1] + 2 * c[3] * y + c[4] * h;
const slopeUp = (c: readonly number[], y: number, h: number): number => c[2] + c[4] * y + 2 * c[5] * h;

/** Where two fitted walls come nearest along their axes; no farther than a step from the origin. */
function leastGap(a: readonly number[], b: readonly number[]): { y: number; h: number; gapMm: number } {
  // the second wall's aside runs against the first's
  const g = [-b[0] - a[0], b[1] - a[1], -b[2] - a[2], -b[3] - a[3], b[4] - a[4], -b[5] - a[5]];
  const det = 4 * g[3] * g[5] - g[4] * g[4];
  let y = det > 1e-4 ? (-2 * g[5] * g[1] + g[4] * g[2]) / det : 0;
  let h = det > 1e-4 ? (-2 * g[3] * g[2] + g[4] * g[1]) / det : 0;
  const shorten = Math.min(1, STEP_MM / Math.max(STEP_MM, Math.hypot(y, h)));
  y *= shorten;
  h *= shorten;
  return { y, h, gapMm: heightAt(g, y, h) };
}
