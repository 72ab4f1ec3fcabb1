import { type CrownWall, WALL_CELL_MM } from './crownWall.ts';
import type { PlanePose } from './StandingTooth.ts';

/** A wall in a pose: the left wall of the right tooth, or the right wall of the left one. */
export interface PosedWall {
  readonly wall: CrownWall;
  readonly setBackMm: number; // enamel off it
  readonly pose: PlanePose;
}

/** Directions tried on both sides of the mean of the two teeth's own. */
const FAN_STEP_RAD = (15 * Math.PI) / 180;
const FAN_RAD = [0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5].map((k) => k * FAN_STEP_RAD);
/**
 * Crowns are apart when along at least so many of them no line meets an overlap: convex crowns that do not touch are
 * apart along half of all directions, while a small overlap can slip between the lines of a slanting one.
 */
const LEAST_APART = 3;
/** Overlaps up to this are touching, mm. */
const TOUCHING_MM = 0.02;
/** Then the best is halved in on. */
const REFINED = 4;
/** Gaps beyond this are told as this or more; crowns so far apart meet in none of the stages that matter. Units: mm. */
export const FAR_MM = 3;

/** Width of the lines along which walls are compared. */
const LINE_MM = 0.12;

/**
 * Signed distance of two neighbouring crowns in the occlusal plane. Free: the shortest way in the plane on which they
 * would touch. Overlapping: minus the shortest way in the plane that parts them. At most FAR_MM.
 *
 * Along one direction the gap is the least distance between the facing walls on any line of that direction, negative
 * where on some line the second wall begins before the first ends. Levels of both walls meet at the same height.
 *
 * Shape:    a — the tooth further to the patient's right with its left wall; b — its neighbour with its right wall.
 * Units:    mm.
 * Accuracy: spheres and ellipsoids in any place within 0.05 mm of a search through all pairs of points, corners of
 *           boxes 0.08 mm — tests/core/reduction/motion/wallGap.test.ts.
 * Rejected: distances from points to the neighbour's triangles, signed by the face's normal: the walls are open where
 *           teeth touched, and a point that passes through the opening counts as outside.
 */
export function wallGap(a: PosedWall, b: PosedWall): number {
  const mean = meanDirection(a.pose.directionRad, b.pose.directionRad);
  const compared = new WallPair(a, b);
  const tried = FAN_RAD.map((off) => ({ off, gap: compared.gapAlong(mean + off) }));
  const isApart = tried.filter(({ gap }) => gap >= -TOUCHING_MM).length >= LEAST_APART;
  // Apart: the shortest of the ways to touch; overlapping: the shortest of the ways to part.
  const counts = (gap: number): boolean => (isApart ? gap >= -TOUCHING_MM : gap < 0);
  const better = (g: number, h: number): boolean => counts(g) && (!counts(h) || Math.abs(g) < Math.abs(h));
  let best = tried[0];
  for (const one of tried) if (better(one.gap, best.gap)) best = one;
  for (let i = 0, step = FAN_STEP_RAD / 2; i < REFINED; i++, step /= 2) {
    for (const off of [best.off - step, best.off + step]) {
      const gap = compared.gapAlong(mean + off);
      if (better(gap, best.gap)) best = { off, gap };
    }
  }
  return Math.min(FAR_MM, Number.isFinite(best.gap) ? best.gap : compared.nearest());
}

const meanDirection = (a: number, b: number): number =>
  Math.atan2(Math.sin(a) + Math.sin(b), Math.cos(a) + Math.cos(b));

/** Facing walls level by level, laid out for many questions. */
class WallPair {
  private readonly a: Levels;
  private readonly b: Levels;

  constructor(a: PosedWall, b: PosedWall) {
    const offset = Math.round((b.pose.heightMm - a.pose.heightMm) / WALL_CELL_MM);
    const rowsA: number[] = [];
    const rowsB: number[] = [];
    for (let r = 0; r < a.wall.rows.length; r++) {
      const other = r + a.wall.firstRow - offset - b.wall.firstRow;
      const [rowA, rowB] = [a.wall.rows[r], b.wall.rows[other]];
      if (!rowB || rowA.outMm.length < 2 || rowB.outMm.length < 2) continue;
      rowsA.push(r);
      rowsB.push(other);
    }
    this.a = new Levels(a, rowsA, 1);
    this.b = new Levels(b, rowsB, -1);
  }

  /** Least distance from a to b on any line of one direction; infinite where none meets both. */
  gapAlong(directionRad: number): number {
    const [c, s] = [Math.cos(directionRad), Math.sin(directionRad)];
    this.a.look(c, s);
    this.b.look(c, s);
    let least = Number.POSITIVE_INFINITY;
    for (let r = 0; r < this.a.count; r++) least = Math.min(least, levelGap(this.a, this.b, r));
    return least;
  }

  /** Least distance between the points of both walls on any level, mm. */
  nearest(): number {
    let least = Number.POSITIVE_INFINITY;
    const { a, b } = this;
    for (let r = 0; r < a.count; r++)
      for (let i = a.starts[r]; i < a.starts[r + 1]; i++)
        for (let j = b.starts[r]; j < b.starts[r + 1]; j++)
          least = Math.min(least, (a.x[i] - b.x[j]) ** 2 + (a.y[i] - b.y[j]) ** 2);
    return Math.sqrt(least);
  }
}

/** Some levels of a wall in the occlusal plane, and the same as looked at along one direction. */
class Levels {
  readonly count: number;
  readonly starts: Uint32Array; // of each level among the points, and the end
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly along: Float64Array; // of the direction looked along
  readonly across: Float64Array; // in lines
  readonly low: Float64Array; // least and greatest across, by level
  readonly high: Float64Array;

  /** `sign` 1: the wall toward the patient's left, −1: toward the right. */
  constructor({ wall, setBackMm, pose }: PosedWall, rows: readonly number[], sign: 1 | -1) {
    this.count = rows.length;
    this.starts = new Uint32Array(rows.length + 1);
    rows.forEach((row, r) => {
      this.starts[r + 1] = this.starts[r] + wall.rows[row].outMm.length;
    });
    const total = this.starts[rows.length];
    this.x = new Float64Array(total);
    this.y = new Float64Array(total);
    this.along = new Float64Array(total);
    this.across = new Float64Array(total);
    this.low = new Float64Array(rows.length);
    this.high = new Float64Array(rows.length);
    const [c, s] = [Math.cos(pose.directionRad), Math.sin(pose.directionRad)];
    rows.forEach((row, r) => {
      const { from, outMm } = wall.rows[row];
      for (let i = 0; i < outMm.length; i++) {
        const along = sign * (outMm[i] - setBackMm);
        const across = sign * (from + i) * WALL_CELL_MM;
        this.x[this.starts[r] + i] = pose.centreMm[0] + c * along - s * across;
        this.y[this.starts[r] + i] = pose.centreMm[1] + s * along + c * across;
      }
    });
  }

  look(c: number, s: number): void {
    const { x, y, along, across } = this;
    for (let r = 0; r < this.count; r++) {
      let [low, high] = [Infinity, -Infinity];
      for (let i = this.starts[r]; i < this.starts[r + 1]; i++) {
        along[i] = c * x[i] + s * y[i];
        const side = (c * y[i] - s * x[i]) / LINE_MM;
        across[i] = side;
        if (side < low) low = side;
        if (side > high) high = side;
      }
      this.low[r] = low;
      this.high[r] = high;
    }
  }
}

const MOST_LINES = 160;
const farOfA = new Float64Array(MOST_LINES);
const nearOfB = new Float64Array(MOST_LINES);

/** Least distance from one level to the other on lines of the direction looked along. */
function levelGap(a: Levels, b: Levels, level: number): number {
  const first = Math.ceil(Math.max(a.low[level], b.low[level]));
  const last = Math.floor(Math.min(a.high[level], b.high[level]));
  const count = Math.min(MOST_LINES, last - first + 1);
  if (count < 1) return Number.POSITIVE_INFINITY;
  farOfA.fill(Number.NEGATIVE_INFINITY, 0, count);
  nearOfB.fill(Number.NEGATIVE_INFINITY, 0, count);
  outermost(a, level, 1, first, count, farOfA);
  outermost(b, level, -1, first, count, nearOfB);
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < count; i++) {
    const gap = -nearOfB[i] - farOfA[i];
    if (gap < least) least = gap;
  }
  return least;
}

/** How far a level reaches in the direction looked along (`way` 1) or against it (−1) on each line it crosses. */
function outermost(
  { starts, along, across }: Levels,
  level: number,
  way: 1 | -1,
  first: number,
  count: number,
  reach: Float64Array,
): void {
  for (let i = starts[level] + 1; i < starts[level + 1]; i++) {
    const from = across[i - 1] - first;
    const to = across[i] - first;
    const low = Math.max(0, Math.ceil(Math.min(from, to)));
    const high = Math.min(count - 1, Math.max(from, to));
    if (low > high) continue;
    const start = way * along[i - 1];
    const end = way * along[i];
    const slope = from === to ? 0 : (end - start) / (to - from);
    for (let line = low; line <= high; line++) {
      const at = from === to ? Math.max(start, end) : start + (line - from) * slope;
      if (at > reach[line]) reach[line] = at;
    }
  }
}
