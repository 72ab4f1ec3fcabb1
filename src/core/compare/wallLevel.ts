import { add, scale, type Vec3 } from '../base/Vec3.ts';
import { inLocalAxes, type LocalAxes, type LocalPatch, nearVertices } from '../crowns/localPatch.ts';
import {
  CLOSE_MM,
  carried,
  FACING,
  fitWall,
  NARROW_MM,
  type WallFit,
  WIDE_MM,
} from '../crowns/proximalFit.ts';
import { wallFromInside } from '../crowns/proximalWall.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import { movedBy, type RigidMotion, turnedBy } from './RigidMotion.ts';

/** A proximal wall about one place, over the axes asked for. */
export interface WallLevel {
  readonly axes: LocalAxes;
  readonly fit: WallFit; // expansion about the origin of the axes
  /** How far the wall reaches along `out`: of its outermost part where it is clean, else of the fit; mm. */
  readonly reachMm: number;
  readonly varianceMm2: number; // of the level at the origin
  readonly clean: boolean; // seen whole: no web, no neighbour before it
}

const PATCH_MM = 2.8;
const WIDE_PATCH_MM = 4.5;
const GATE_MM = 0.55;
const OUTER_GATE_MM = 0.8;
const SHARP_BEND = 0.3; // 1/mm
const SCALES_MM = [0.6, 0.4, 0.28, 0.2, 0.15, 0.12, 0.12];
const STEP_MM = 0.5;
const ASTRAY_MM = 0.9; // crowns stand out most within this of the contact point
const TYPICAL = [0, 0, -0.15, 0, -0.15];
const LITTLE_SEEN = 0.45;
const CAP_MM2 = 0.25; // a disc of 0.28 mm radius
const CAP_ZONE_MM = 1.1;
const CAP_OFF_MM = 0.25;
const CLEAN = 0.8; // share of the wall's own patch that is there
const CLEAN_VARIANCE = 0.0004; // mm², of a wall seen whole; real crowns with cuts of known depth

/** Of the level of a wall that is hidden at its contact and carried on from around it; generated arches. */
const HIDDEN_SD_MM = 0.07;

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
 * The wall of the crown behind `axes` (its `out` leaves the crown) about the place near the axes' origin where it stands
 * out most along `out`, found from inside the crown so that a neighbour is not taken for it; what is hidden by a web is
 * carried on from the wall around. Null where there is no wall to be found.
 *
 * Shape:    the result's axes have their origin moved across `out` only, so that levels of one wall compare.
 * Units:    mm.
 */
export function wallLevel(index: SurfaceIndex, axes: LocalAxes): WallLevel | null {
  const start = wallFromInside(index, axes);
  if (!start) return null;
  for (const [kernelMm, patchMm] of [
    [NARROW_MM, PATCH_MM],
    [WIDE_MM, WIDE_PATCH_MM],
  ]) {
    const patch = gatedPatch(index, axes, start.outMm, patchMm);
    const found = outermost(patch, start.outMm, kernelMm);
    if (!found || (found.fit.seenRatio < LITTLE_SEEN && kernelMm !== WIDE_MM)) continue;
    const { fit, aside, up } = found;
    const clean = fit.filledRatio > CLEAN;
    const originMm = add(axes.originMm, add(scale(axes.aside, aside), scale(axes.up, up)));
    return {
      axes: { ...axes, originMm },
      fit,
      reachMm: (clean ? capReach(patch, found) : null) ?? fit.c[0],
      varianceMm2: CLEAN_VARIANCE + (clean ? 0 : (HIDDEN_SD_MM * (1 - fit.filledRatio)) ** 2),
      clean,
    };
  }
  return null;
}

/** The wall's side of what lies near, without biting surface and neighbour. */
function gatedPatch(index: SurfaceIndex, axes: LocalAxes, outMm: number, patchMm: number): LocalPatch {
  const { values: v } = inLocalAxes(nearVertices(index, axes.originMm, patchMm), axes, FACING);
  const values = new Float64Array(v.length);
  let count = 0;
  for (let o = 0; o < v.length; o += 7) {
    const above = v[o] - outMm;
    const sag = SHARP_BEND * (v[o + 1] ** 2 + v[o + 2] ** 2);
    if (above > OUTER_GATE_MM || above < -GATE_MM - sag) continue;
    values.set(v.subarray(o, o + 7), 7 * count++);
  }
  return { count, values: values.subarray(0, 7 * count) };
}

/** Mean reach of the outermost part of a clean wall; a cut's facet is smaller than what a fit takes in. */
function capReach({ values: v }: LocalPatch, { fit: { c }, aside, up }: Outermost): number | null {
  const near: { readonly out: number; readonly area: number }[] = [];
  for (let o = 0; o < v.length; o += 7) {
    const [y, h] = [v[o + 1] - aside, v[o + 2] - up];
    if (y * y + h * h > CAP_ZONE_MM ** 2) continue;
    const wall = c[0] + c[1] * y + c[2] * h + c[3] * y * y + c[4] * y * h + c[5] * h * h;
    if (Math.abs(v[o] - wall) < CAP_OFF_MM) near.push({ out: v[o], area: v[o + 6] * v[o + 3] });
  }
  near.sort((a, b) => b.out - a.out);
  let [sum, area] = [0, 0];
  for (const point of near) {
    sum += point.area * point.out;
    area += point.area;
    // a bent wall's top lies above the mean of its cap
    if (area >= CAP_MM2) return sum / area + (area * Math.sqrt(c[3] * c[5])) / (2 * Math.PI);
  }
  return null;
}

interface Outermost {
  readonly fit: WallFit; // about the place
  readonly aside: number;
  readonly up: number;
}

/** Fits the wall with a scale that tightens, each time about where the last fit stands out most; a hidden wall's place is left. */
function outermost(patch: LocalPatch, outMm: number, kernelMm: number): Outermost | null {
  let c: readonly number[] = [outMm, ...TYPICAL];
  let [aside, up] = [0, 0];
  let fit: WallFit | null = null;
  for (const scaleMm of SCALES_MM) {
    const close = kernelMm === NARROW_MM && fit && fit.filledRatio > CLEAN && scaleMm < 0.25;
    fit = fitWall(patch, c, aside, up, scaleMm, close ? CLOSE_MM : kernelMm);
    if (!fit) return null;
    const det = 4 * fit.c[3] * fit.c[5] - fit.c[4] ** 2;
    if (scaleMm === SCALES_MM[SCALES_MM.length - 1]) break;
    let [dy, dh] = [0, 0];
    if (det > 1e-6 && fit.filledRatio > CLEAN) {
      dy = (-2 * fit.c[5] * fit.c[1] + fit.c[4] * fit.c[2]) / det;
      dh = (-2 * fit.c[3] * fit.c[2] + fit.c[4] * fit.c[1]) / det;
    }
    const shorten = Math.min(1, STEP_MM / Math.max(STEP_MM, Math.hypot(dy, dh)));
    const within = (x: number): number => Math.max(-ASTRAY_MM, Math.min(ASTRAY_MM, x));
    const [nextAside, nextUp] = [within(aside + dy * shorten), within(up + dh * shorten)];
    c = carried(fit.c, nextAside - aside, nextUp - up);
    [aside, up] = [nextAside, nextUp];
  }
  return fit && { fit, aside, up };
}
