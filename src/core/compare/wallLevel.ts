import type { Vec3 } from '../base/Vec3.ts';
import { inLocalAxes, type LocalAxes, nearVertices } from '../crowns/localPatch.ts';
import { CLOSE_MM, FACING, fitWall, NARROW_MM, type WallFit, WIDE_MM } from '../crowns/proximalFit.ts';
import { wallFromInside } from '../crowns/proximalWall.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import { movedBy, type RigidMotion, turnedBy } from './RigidMotion.ts';

/** A proximal wall about one place, over the axes asked for. */
export interface WallLevel {
  readonly axes: LocalAxes;
  readonly fit: WallFit; // expansion about the origin of the axes
  readonly varianceMm2: number; // of the level at the origin
  readonly clean: boolean; // seen whole: no web, no neighbour before it
}

const PATCH_MM = 2.8;
const WIDE_PATCH_MM = 4.5;
const GATE_MM = 0.55;
const OUTER_GATE_MM = 0.8;
const SHARP_BEND = 0.3; // 1/mm
const SCALES_MM = [0.6, 0.4, 0.25, 0.16, 0.12];
const TYPICAL = [0, 0, -0.15, 0, -0.15];
const LITTLE_SEEN = 0.45;
const CLEAN = 0.8; // share of the wall's own patch that is there
const CLEAN_VARIANCE = 0.0002; // mm², of a wall seen whole, measured against its own likeness

/** Variance of a wall carried on under a web, mm²: as in crowns, from generated arches with known contact points. */
const hiddenVariance = ({ seenRatio, filledRatio }: WallFit): number =>
  (1 - filledRatio) * (0.004 + 0.09 * (1 - seenRatio) ** 2);

/** Axes carried along by a motion. */
export const axesMoved = (motion: RigidMotion, { originMm, out, aside, up }: LocalAxes): LocalAxes => ({
  originMm: movedBy(motion, originMm),
  out: turnedBy(motion, out),
  aside: turnedBy(motion, aside),
  up: turnedBy(motion, up),
});

/** Axes at a place, `out` and `up` unit and perpendicular. */
export function axesAt(originMm: Vec3, out: Vec3, up: Vec3): LocalAxes {
  const aside: Vec3 = [
    up[1] * out[2] - up[2] * out[1],
    up[2] * out[0] - up[0] * out[2],
    up[0] * out[1] - up[1] * out[0],
  ];
  return { originMm, out, aside, up };
}

/**
 * The wall of the crown behind `axes` (its `out` leaves the crown) at the axes' origin, found from inside the crown so
 * that a neighbour is not taken for it; what is hidden by a web is carried on from the wall around. Null where
 * there is no wall to be found.
 *
 * Units:    mm.
 */
export function wallLevel(index: SurfaceIndex, axes: LocalAxes): WallLevel | null {
  const start = wallFromInside(index, axes);
  if (!start) return null;
  for (const [kernelMm, patchMm] of [
    [NARROW_MM, PATCH_MM],
    [WIDE_MM, WIDE_PATCH_MM],
  ]) {
    const fit = fitted(index, axes, start.outMm, kernelMm, patchMm);
    if (fit && (fit.seenRatio >= LITTLE_SEEN || kernelMm === WIDE_MM)) {
      const clean = fit.filledRatio > CLEAN;
      return { axes, fit, varianceMm2: CLEAN_VARIANCE + (clean ? 0 : hiddenVariance(fit)), clean };
    }
  }
  return null;
}

function fitted(
  index: SurfaceIndex,
  axes: LocalAxes,
  outMm: number,
  kernelMm: number,
  patchMm: number,
): WallFit | null {
  const whole = inLocalAxes(nearVertices(index, axes.originMm, patchMm), axes, FACING);
  const values = new Float64Array(whole.values.length);
  let count = 0;
  for (let o = 0; o < whole.values.length; o += 7) {
    const above = whole.values[o] - outMm;
    const sag = SHARP_BEND * (whole.values[o + 1] ** 2 + whole.values[o + 2] ** 2);
    if (above > OUTER_GATE_MM || above < -GATE_MM - sag) continue;
    values.set(whole.values.subarray(o, o + 7), 7 * count++);
  }
  const patch = { count, values: values.subarray(0, 7 * count) };
  let c: readonly number[] = [outMm, ...TYPICAL];
  let fit: WallFit | null = null;
  for (const scaleMm of SCALES_MM) {
    const close = kernelMm === NARROW_MM && fit && fit.filledRatio > CLEAN && scaleMm < 0.25;
    fit = fitWall(patch, c, 0, 0, scaleMm, close ? CLOSE_MM : kernelMm);
    if (!fit) return null;
    c = fit.c;
  }
  return fit;
}
