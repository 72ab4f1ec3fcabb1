import { Matrix, solve } from 'ml-matrix';
import { add, cross, dot, normalize, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import type { SurfaceCells } from './surfaceCells.ts';
import { sectorTops, topWeight } from './toothTops.ts';

/** Length of row taken at the front and at the back end: the front edges, the last molar. */
const END_MM = 8;
const ROUNDS = 4;
const STEPS = 8;
const FIRST_SCALE_MM = 5;
const SCALE_MM = 2.5;
/** Tops farther than this from the bowed surface are no teeth of the row. */
const NEAR_MM = 2.5;
const LEAST_TOPS = 8;
/** Behind the last crown the gum falls off: a top this much, and this steeply, below one a little ahead of it is gum. */
const FALL_MM = 0.6;
const FALL_SLOPE = 0.3;
const AHEAD_MM = 9;

/** A level plane, in the principal axes of the cells. */
export interface LevelPlane {
  readonly up: Vec3;
  readonly forward: Vec3; // perpendicular to `up`
  readonly heightMm: number; // above the centroid, along `up`
  readonly topsMm: number; // the same of the tops: their upper quartile
}

type Top = readonly number[]; // across, forward, height; mm

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  return (sorted[sorted.length >> 1] + sorted[(sorted.length - 1) >> 1]) / 2;
};
const mean = (values: readonly number[]): number => values.reduce((s, v) => s + v, 0) / values.length;

const heightAt = (q: readonly number[], across: number, forward: number): number =>
  q[0] + q[1] * across + q[2] * forward + q[3] * forward * forward;

/** Surface bowed from front to back through the tops, h = q₀ + q₁x + q₂y + q₃y²; a few stray tops have no say. */
function bowedSurface(tops: readonly Top[], scaleMm: number): readonly number[] | null {
  const heights = tops.map((t) => t[2]).sort((a, b) => b - a);
  let q: readonly number[] = [heights[heights.length >> 2], 0, 0, 0];
  for (let step = 0; step < STEPS; step++) {
    const system = Matrix.zeros(4, 4);
    const right = Matrix.zeros(4, 1);
    for (const [x, y, h] of tops) {
      const row = [1, x, y, y * y];
      const w = topWeight(h - heightAt(q, x, y), scaleMm);
      for (let i = 0; i < 4; i++) {
        right.set(i, 0, right.get(i, 0) + w * row[i] * h);
        for (let j = 0; j < 4; j++) system.set(i, j, system.get(i, j) + w * row[i] * row[j]);
      }
    }
    for (let i = 0; i < 4; i++) system.set(i, i, system.get(i, i) + 1e-9);
    q = solve(system, right).to1DArray();
    if (!q.every(Number.isFinite)) return null;
  }
  return q;
}

/** The tops without those of gum behind the last crowns; `level` takes out the lean from side to side. */
function withoutGum(row: readonly Top[], level: (top: Top) => number): readonly Top[] {
  const middle = (Math.max(...row.map((t) => t[1])) + Math.min(...row.map((t) => t[1]))) / 2;
  const fallsOff = (top: Top): boolean =>
    row.some((other) => {
      const ahead = other[1] - top[1];
      if (other[0] * top[0] < 0 || !(ahead > 0) || ahead > AHEAD_MM) return false;
      return level(other) - level(top) > FALL_MM + FALL_SLOPE * ahead;
    });
  return row.filter((top) => top[1] > middle || !fallsOff(top));
}

/**
 * Levels a plane from front to back, so that the curve of Spee does not tilt it: it then runs from the front edges
 * to the last molars, however far the teeth between dip below it or stand beyond it. Which tops are teeth is told
 * by a surface bowed from front to back; from side to side all of them count. Null where too few are left.
 *
 * Units:    mm; `up` and `forward` unit vectors in the principal axes of the cells.
 * Accuracy: within 1.5° of the true edges and molars to a depth of 5 mm — tests/core/arch/findArchFrame.test.ts.
 * Rejected: the plane over all tops alone, tilted by up to 7.1° (upper, 5 mm deep) and 8.5 (6 mm); the chord of the
 * bowed surface itself, 4.7 and 6.1; of a surface of fourth degree, which runs off.
 */
export function levelPlane(cells: SurfaceCells, startUp: Vec3, startForward: Vec3): LevelPlane | null {
  let up = startUp;
  let forward = startForward;
  let heightMm = 0;
  let topsMm = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const across = cross(forward, up);
    const tops = sectorTops(cells, up, [across, forward]);
    if (tops.length < LEAST_TOPS) return null;
    const q = bowedSurface(tops, round === 0 ? FIRST_SCALE_MM : SCALE_MM);
    if (!q) return null;
    const level = (top: Top): number => top[2] - q[1] * top[0];
    const near = tops.filter(([x, y, h]) => Math.abs(h - heightAt(q, x, y)) < NEAR_MM);
    if (near.length < LEAST_TOPS) return null;
    const row = withoutGum(near, level);
    if (row.length < LEAST_TOPS) return null;
    const places = row.map((t) => t[1]);
    const front = row.filter((t) => t[1] > Math.max(...places) - END_MM);
    const back = row.filter((t) => t[1] < Math.min(...places) + END_MM);
    const middle = (end: readonly Top[]) => ({
      at: mean(end.map((t) => t[1])),
      height: median(end.map(level)),
    });
    const [f, b] = [middle(front), middle(back)];
    if (!(f.at - b.at > END_MM)) return null;
    const slope = (f.height - b.height) / (f.at - b.at);
    const size = Math.hypot(1, q[1], slope);
    heightMm = (f.height - slope * f.at) / size;
    const over = row.map((t) => level(t) - slope * t[1]).sort((one, other) => other - one);
    topsMm = over[over.length >> 2] / size;
    up = normalize(subtract(up, add(scale(across, q[1]), scale(forward, slope))));
    forward = normalize(subtract(forward, scale(up, dot(forward, up))));
  }
  return { up, forward, heightMm, topsMm };
}
