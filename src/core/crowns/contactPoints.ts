import { add, cross, distance, dot, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import { type ContactBeliefs, type Opposite, type SideState, solveContacts } from './contactSolve.ts';
import {
  inLocalAxes,
  type LocalAxes,
  type LocalPatch,
  type NearVertices,
  nearVertices,
} from './localPatch.ts';
import { CLOSE_MM, carried, FACING, fitWall, NARROW_MM, type WallFit, WIDE_MM } from './proximalFit.ts';
import { creaseInward, type WallStart, wallFromInside } from './proximalWall.ts';

/** One proximal side to be found: where it is believed to be. */
export interface SideGuess {
  readonly pointMm: Vec3;
  readonly placeSdMm: number; // of the guess along the wall
  readonly known?: true; // this side only tells the direction; its point need not be settled
}

/** A contact point found on the surface or, under a scanner's web, on the wall carried on beneath it. */
export interface ContactPoint {
  readonly pointMm: Vec3;
  readonly fit: WallFit;
  readonly fromInside: boolean; // the wall was reached from inside the crown
  readonly fused: boolean; // the crown runs on into its neighbour here
  readonly sdMm: number; // along the mesiodistal direction
}

const PATCH_MM = 2.8;
const WIDE_PATCH_MM = 4.5;
/** Share of seen wall above which nothing hides the contact. */
export const CLEAN = 0.8;
const LITTLE_SEEN = 0.45; // share of directions below which farther flanks are needed
const ASTRAY_MM = 0.5; // crowns touch within this of the outermost point
const MEETING_VARIANCE = 0.0045; // mm², of the place where two carried-on walls come nearest
const MOST_STEP_MM = 0.35;
const THROUGH_MM = 0.5; // a ray going on this far past the wall is inside the neighbour: the contact is fused
const SCALES_MM = [0.6, 0.4, 0.28, 0.2, 0.15, 0.12, 0.12];
const NEIGHBOUR_SCALES_MM = [0.6, 0.35, 0.2, 0.12];
const GATE_MM = 0.55;
const OUTER_GATE_MM = 0.8;
const SHARP_BEND = 0.3; // 1/mm, sag of the sharpest walls off their middle
const TYPICAL: readonly number[] = [0, 0, 0, -0.15, 0, -0.15];

interface Side {
  readonly guess: SideGuess;
  readonly axes: LocalAxes;
  near: NearVertices;
  patch: LocalPatch;
  kernelMm: number;
  readonly start: WallStart | null;
  c: readonly number[];
  aside: number;
  up: number;
  fit: WallFit | null;
  varianceMm2: number; // of c[0]
  fused: boolean;
}

/**
 * The patch without what cannot be this wall, given the level at which rays from inside left it: the slopes of
 * the biting surface lie deeper, the neighbour farther out.
 */
function gated(patch: LocalPatch, start: WallStart | null): LocalPatch {
  if (!start) return patch;
  const from = patch.values;
  const values = new Float64Array(from.length);
  let count = 0;
  for (let o = 0; o < from.length; o += 7) {
    const above = from[o] - start.outMm;
    const sag = SHARP_BEND * (from[o + 1] * from[o + 1] + from[o + 2] * from[o + 2]);
    if (above > OUTER_GATE_MM || above < -GATE_MM - sag) continue;
    values.set(from.subarray(o, o + 7), 7 * count++);
  }
  return { count, values: values.subarray(0, 7 * count) };
}

function makeSide(index: SurfaceIndex, guess: SideGuess, out: Vec3, up: Vec3): Side {
  const clicked: LocalAxes = { originMm: guess.pointMm, out, up, aside: cross(up, out) };
  const inward = creaseInward(index, clicked);
  const axes: LocalAxes = { ...clicked, originMm: subtract(guess.pointMm, scale(out, inward)) };
  const start = wallFromInside(index, axes);
  const near = nearVertices(index, axes.originMm, PATCH_MM);
  return {
    guess,
    axes,
    near,
    patch: gated(inLocalAxes(near, axes, FACING), start),
    start,
    kernelMm: NARROW_MM,
    c: [start?.outMm ?? 0, ...TYPICAL.slice(1)],
    aside: 0,
    up: 0,
    fit: null,
    varianceMm2: CLEAN_VARIANCE,
    fused: false,
  };
}

const pointOf = (side: Side): Vec3 => {
  const { originMm, out, aside, up } = side.axes;
  return add(originMm, add(scale(out, side.c[0]), add(scale(aside, side.aside), scale(up, side.up))));
};

/** One fitting step of a side; where little of the wall is free of web, farther flanks are taken in. */
function refit(index: SurfaceIndex, side: Side, scaleMm: number): boolean {
  let fit = fitWall(side.patch, side.c, side.aside, side.up, scaleMm, side.kernelMm, 3);
  if (side.kernelMm !== WIDE_MM && (!fit || fit.seenRatio < LITTLE_SEEN)) {
    side.kernelMm = WIDE_MM;
    side.near = nearVertices(index, side.axes.originMm, WIDE_PATCH_MM);
    side.patch = gated(inLocalAxes(side.near, side.axes, FACING), side.start);
    fit = fitWall(side.patch, side.c, side.aside, side.up, scaleMm, side.kernelMm, 3);
  }
  if (fit && fit.filledRatio > CLEAN && scaleMm < 0.25 && side.kernelMm === NARROW_MM)
    side.kernelMm = CLOSE_MM;
  side.fit = fit;
  if (fit) side.c = fit.c;
  return fit !== null;
}

const CLEAN_VARIANCE = 0.0012; // mm², of a wall seen whole
/** Variance of a wall carried on under a web, mm²; from generated arches with known contact points. */
const wallVariance = (seenRatio: number): number => 0.003 + 0.065 * (1 - seenRatio) ** 2;

/** True where the crown runs on into its neighbour through the contact. */
function isFused(index: SurfaceIndex, side: Side): boolean {
  if (!side.start) return true;
  const towards = subtract(pointOf(side), side.start.insideMm);
  const wallMm = Math.hypot(...towards);
  return index.raycast(side.start.insideMm, towards, wallMm + THROUGH_MM) === null;
}

/**
 * Least free distance between a side's wall and the neighbour's wall opposite, both carried on, near the
 * side's place; negative where they overlap; null where no neighbour stands within reach.
 */
function clearance(index: SurfaceIndex, side: Side): { gapMm: number; seenRatio: number } | null {
  const { out, aside, up } = side.axes;
  const centre = pointOf(side);
  const axes: LocalAxes = { originMm: centre, out: scale(out, -1), up, aside: scale(aside, -1) };
  const start = wallFromInside(index, axes);
  if (!start) return null;
  const patch = gated(inLocalAxes(side.near, axes, FACING), start);
  let n: readonly number[] = [start.outMm, ...TYPICAL.slice(1)];
  let seenRatio = 0;
  for (const scaleMm of NEIGHBOUR_SCALES_MM) {
    const fit = fitWall(patch, n, 0, 0, scaleMm, side.kernelMm, 3);
    if (!fit) return null;
    n = fit.c;
    seenRatio = fit.seenRatio;
  }
  // gap(y, h) = g0 + g1·y + g2·h + g3·y² + g4·y·h + g5·h²; the neighbour's aside runs against the side's
  const c = side.c;
  const g = [-n[0], n[1] - c[1], -n[2] - c[2], -n[3] - c[3], n[4] - c[4], -n[5] - c[5]];
  const det = 4 * g[3] * g[5] - g[4] * g[4];
  if (!(det > 1e-6)) return { gapMm: g[0], seenRatio };
  const bounded = (x: number): number => Math.max(-ASTRAY_MM, Math.min(ASTRAY_MM, x));
  const y = bounded((-2 * g[5] * g[1] + g[4] * g[2]) / det);
  const h = bounded((-2 * g[3] * g[2] + g[4] * g[1]) / det);
  const gapMm = g[0] + g[1] * y + g[2] * h + g[3] * y * y + g[4] * y * h + g[5] * h * h;
  return { gapMm, seenRatio };
}

/** Brings a wall under a web to where it can be: fused crowns touch, and what is too much or too little is shared. */
function settle(index: SurfaceIndex, side: Side): void {
  const { filledRatio, seenRatio } = side.fit!;
  if (filledRatio > CLEAN) return;
  const own = wallVariance(seenRatio);
  side.varianceMm2 = CLEAN_VARIANCE + (1 - filledRatio) * own;
  side.fused = isFused(index, side);
  if (!side.fused) return;
  const met = clearance(index, side);
  if (!met) return;
  const share = own / (own + wallVariance(met.seenRatio) + MEETING_VARIANCE);
  const step = Math.max(-MOST_STEP_MM, Math.min(MOST_STEP_MM, share * met.gapMm));
  side.c = [side.c[0] + step, ...side.c.slice(1)];
  side.varianceMm2 = CLEAN_VARIANCE + own * (1 - share);
}

/**
 * Contact points of one crown: the places where its proximal walls stand out most along its mesiodistal
 * direction, searched near the guesses. One side or both; both at once share the unknown direction.
 * `direction` points out of the first side, `up` is occlusal, both unit and perpendicular.
 *
 * Shape:    sides — one or two; a side whose wall cannot be found comes back as null.
 * Units:    mm, radians.
 * Accuracy: widths between two of them, see snapTooth — tests/core/marks/snapAccuracy.test.ts.
 * Source:   our definition, DEVELOPERS.md#contact-point.
 */
export function contactPoints(
  index: SurfaceIndex,
  guesses: readonly SideGuess[],
  direction: Vec3,
  up: Vec3,
  beliefs: ContactBeliefs,
): readonly (ContactPoint | null)[] {
  const sides = guesses.map((guess, k) =>
    makeSide(index, guess, k === 0 ? direction : scale(direction, -1), up),
  );
  for (const scaleMm of SCALES_MM) {
    const found = sides.filter((side) => refit(index, side, scaleMm));
    if (found.length === 0) break;
    const states: SideState[] = found.map((side) => ({
      c: side.c,
      aside: side.aside,
      up: side.up,
      priorAside: 0,
      priorUp: 0,
      placeSdMm: side.guess.placeSdMm,
      shownRatio: side.fit!.filledRatio,
    }));
    const alone = found.length === 1;
    const solved = solveContacts(states, beliefs, alone ? null : oppositeOf(sides));
    found.forEach((side, i) => {
      const place = solved.places[i];
      side.c = carried(side.c, place.aside - side.aside, place.up - side.up);
      side.aside = place.aside;
      side.up = place.up;
    });
  }
  for (const side of sides) {
    if (side.fit && !side.guess.known) settle(index, side);
  }
  return sides.map((side) =>
    side.fit
      ? {
          pointMm: pointOf(side),
          fit: side.fit,
          fromInside: side.start !== null,
          fused: side.fused,
          sdMm: Math.sqrt(side.varianceMm2),
        }
      : null,
  );
}

function oppositeOf([first, second]: readonly Side[]): Opposite {
  const shift = subtract(second.axes.originMm, first.axes.originMm);
  return {
    spanMm: Math.max(2, distance(pointOf(first), pointOf(second))),
    asideShiftMm: dot(shift, first.axes.aside),
    upShiftMm: dot(shift, first.axes.up),
  };
}
