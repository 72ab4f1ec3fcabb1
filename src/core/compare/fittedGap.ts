import { add, dot, scale, subtract } from '../base/Vec3.ts';
import type { LocalAxes } from '../crowns/localPatch.ts';

/** A wall as it was fitted, in the axes where it stands. */
export interface StandingWall {
  readonly c: readonly number[]; // out = c0 + c1·y + c2·h + c3·y² + c4·y·h + c5·h², as in WallFit
  readonly axes: LocalAxes;
}

/** Where two standing walls come nearest. */
export interface FittedGap {
  readonly gapMm: number; // negative: they overlap
  readonly firstMm: readonly [number, number]; // place on each wall: aside and up of its own axes
  readonly secondMm: readonly [number, number];
}

const REACH_MM = 1.5; // on the first wall: farther off a fitted wall means nothing
const OTHER_REACH_MM = 2;
const STEP_MM = 0.1;

/** Nearest places of two fitted walls that face each other; null where they do not. */
export function fittedGap(first: StandingWall, second: StandingWall): FittedGap | null {
  const [c, n] = [first.c, second.c];
  let best: FittedGap | null = null;
  const steps = Math.round(REACH_MM / STEP_MM);
  for (let i = -steps; i <= steps; i++) {
    for (let j = -steps; j <= steps; j++) {
      const [y, h] = [i * STEP_MM, j * STEP_MM];
      const out = c[0] + c[1] * y + c[2] * h + c[3] * y * y + c[4] * y * h + c[5] * h * h;
      const { originMm, out: o, aside, up } = first.axes;
      const point = add(originMm, add(scale(o, out), add(scale(aside, y), scale(up, h))));
      const d = subtract(point, second.axes.originMm);
      const [by, bh] = [dot(d, second.axes.aside), dot(d, second.axes.up)];
      if (Math.abs(by) > OTHER_REACH_MM || Math.abs(bh) > OTHER_REACH_MM) continue;
      const level = n[0] + n[1] * by + n[2] * bh + n[3] * by * by + n[4] * by * bh + n[5] * bh * bh;
      const slopes = Math.hypot(1, n[1] + 2 * n[3] * by + n[4] * bh, n[2] + n[4] * by + 2 * n[5] * bh);
      const gapMm = (dot(d, second.axes.out) - level) / slopes;
      if (!best || gapMm < best.gapMm) best = { gapMm, firstMm: [y, h], secondMm: [by, bh] };
    }
  }
  return best;
}

/** How far the nearest places of two gaps lie apart on the walls, mm. */
export const placeShiftMm = (a: FittedGap, b: FittedGap): number =>
  Math.max(
    Math.hypot(a.firstMm[0] - b.firstMm[0], a.firstMm[1] - b.firstMm[1]),
    Math.hypot(a.secondMm[0] - b.secondMm[0], a.secondMm[1] - b.secondMm[1]),
  );
