import type { Crown } from './Crown.ts';
import type { PlacedCrown } from './PlacedCrown.ts';

const ROWS = 22;
const COLUMNS = 19;

/** Points of one proximal wall in the crown's own frame, a grid of heights by directions; NaN where none. */
export interface WallPoints {
  readonly points: Float64Array; // 3 per point
}

/** Points on the mesial (+1) or distal (−1) half of a crown's wall. */
export function wallPoints(crown: Crown, direction: 1 | -1): WallPoints {
  const points = new Float64Array(ROWS * COLUMNS * 3).fill(Number.NaN);
  const half = (crown.mesialMm[0] - crown.distalMm[0]) / 2;
  for (let row = 0; row < ROWS; row++) {
    const w = crown.heightMm * (0.12 + (0.87 * row) / (ROWS - 1));
    for (let column = 0; column < COLUMNS; column++) {
      const angle = Math.PI * (0.04 + (0.92 * column) / (COLUMNS - 1));
      const [du, dv] = [direction * Math.sin(angle), Math.cos(angle)];
      // the middle of a molar may lie above its fossa: start where the rim is
      let inside = [0, 0.35, 0.6].map((r) => r * half).find((r) => crown.distance(du * r, dv * r, w) < 0);
      if (inside === undefined) continue;
      let outside = 9;
      for (let i = 0; i < 26; i++) {
        const r = (inside + outside) / 2;
        if (crown.distance(du * r, dv * r, w) > 0) outside = r;
        else inside = r;
      }
      points.set([du * inside, dv * inside, w], (row * COLUMNS + column) * 3);
    }
  }
  return { points };
}

/** The least of a sampled function near a grid minimum: parabola through it and its two neighbours. */
const vertexDrop = (before: number, at: number, after: number): number => {
  const bend = before - 2 * at + after;
  if (!(bend > 1e-9)) return 0; // also when a neighbour is missing (NaN)
  return (before - after) ** 2 / (8 * bend);
};

/** Least distance of `wall` (of `a`) from the surface of `b`; negative when inside. */
function oneWay(a: PlacedCrown, wall: WallPoints, b: PlacedCrown): number {
  const { points } = wall;
  const values = new Float64Array(ROWS * COLUMNS);
  let least = Number.POSITIVE_INFINITY;
  let at = -1;
  for (let i = 0; i < ROWS * COLUMNS; i++) {
    const u = points[i * 3];
    if (Number.isNaN(u)) {
      values[i] = Number.NaN;
      continue;
    }
    const p = a.toArch([u, points[i * 3 + 1], points[i * 3 + 2]]);
    values[i] = b.distance(p[0], p[1], p[2]);
    if (values[i] < least) {
      least = values[i];
      at = i;
    }
  }
  const column = at % COLUMNS;
  let refined = least;
  if (column > 0 && column < COLUMNS - 1) refined -= vertexDrop(values[at - 1], least, values[at + 1]);
  if (at >= COLUMNS && at < (ROWS - 1) * COLUMNS)
    refined -= vertexDrop(values[at - COLUMNS], least, values[at + COLUMNS]);
  const p = a.toArch([points[at * 3], points[at * 3 + 1], points[at * 3 + 2]]);
  const g = b.crown.gradient(...b.toLocal(p));
  return refined / Math.max(Math.hypot(g[0], g[1], g[2]), 0.2);
}

/**
 * Free distance between two neighbouring crowns; negative: depth of interpenetration. Both directions are
 * sampled and the smaller is taken.
 *
 * Accuracy: within 0.01 mm of a dense search where the crowns nearly touch — tests/samples/makeArch.test.ts.
 */
export function crownGap(a: PlacedCrown, wallOfA: WallPoints, b: PlacedCrown, wallOfB: WallPoints): number {
  return Math.min(oneWay(a, wallOfA, b), oneWay(b, wallOfB, a));
}

/** Free distance between two neighbours, worked out from their crowns alone. */
export function surfaceGap(a: PlacedCrown, b: PlacedCrown): number {
  const facing = (p: PlacedCrown, q: PlacedCrown): 1 | -1 =>
    p.toLocal(q.toArch([0, 0, q.crown.heightMm / 2]))[0] > 0 ? 1 : -1;
  return crownGap(a, wallPoints(a.crown, facing(a, b)), b, wallPoints(b.crown, facing(b, a)));
}
