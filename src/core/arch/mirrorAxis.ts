import { hypot2 } from '../base/hypot.ts';
import type { Vec2 } from '../base/Vec3.ts';

/** The line a horseshoe of points is symmetric about: it passes through `at` along `forward`, toward the closed end. */
export interface MirrorAxis {
  readonly at: Vec2;
  readonly forward: Vec2;
  readonly missMm: number; // mean distance of the mirrored points from the points, each at most MOST_MM
  readonly frontShare: number; // 0–1: how clearly the closed end is in front; 0.5 means it cannot be told
}

const MOST_MM = 4;
const GRID_MM = 1;
const STRIP_MM = 7;

/** Distance to the nearest point on a 1 mm grid, bilinear in between: cheap to ask thousands of times. */
function distanceField(points: readonly Vec2[]): (x: number, y: number) => number {
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  const x0 = Math.min(...xs) - MOST_MM;
  const y0 = Math.min(...ys) - MOST_MM;
  const nx = Math.ceil((Math.max(...xs) + MOST_MM - x0) / GRID_MM) + 2;
  const ny = Math.ceil((Math.max(...ys) + MOST_MM - y0) / GRID_MM) + 2;
  const field = new Float64Array(nx * ny).fill(MOST_MM);
  for (const [x, y] of points) {
    const i0 = Math.max(0, Math.floor((x - MOST_MM - x0) / GRID_MM));
    const j0 = Math.max(0, Math.floor((y - MOST_MM - y0) / GRID_MM));
    for (let j = j0; j < ny && y0 + j * GRID_MM <= y + MOST_MM; j++) {
      for (let i = i0; i < nx && x0 + i * GRID_MM <= x + MOST_MM; i++) {
        const d = hypot2(x0 + i * GRID_MM - x, y0 + j * GRID_MM - y);
        if (d < field[j * nx + i]) field[j * nx + i] = d;
      }
    }
  }
  return (x, y) => {
    const gx = (x - x0) / GRID_MM;
    const gy = (y - y0) / GRID_MM;
    const i = Math.floor(gx);
    const j = Math.floor(gy);
    if (i < 0 || j < 0 || i >= nx - 1 || j >= ny - 1) return MOST_MM;
    const s = gx - i;
    const t = gy - j;
    const o = j * nx + i;
    return (
      (1 - t) * ((1 - s) * field[o] + s * field[o + 1]) +
      t * ((1 - s) * field[o + nx] + s * field[o + nx + 1])
    );
  };
}

/** Which way along the axis the horseshoe is closed: teeth stand across the axis in front, none behind. */
function closedEnd(points: readonly Vec2[], at: Vec2, along: Vec2): { sign: number; share: number } {
  const places = points.map(([x, y]) => ({
    along: (x - at[0]) * along[0] + (y - at[1]) * along[1],
    across: Math.abs((x - at[0]) * along[1] - (y - at[1]) * along[0]),
  }));
  const ends = places.map((p) => p.along);
  const middle = (Math.min(...ends) + Math.max(...ends)) / 2;
  let front = 0;
  let back = 0;
  for (const p of places) {
    if (p.across > STRIP_MM) continue;
    if (p.along > middle) front++;
    else back++;
  }
  const share = (Math.max(front, back) + 0.5) / (front + back + 1);
  return { sign: front >= back ? 1 : -1, share };
}

/** Mean distance from mirrored points to the nearest point; 2 per point. */
function missAcross(
  points: Float64Array,
  mean: Vec2,
  field: (x: number, y: number) => number,
  turn: number,
  offset: number,
): number {
  const cx = Math.cos(turn);
  const cy = Math.sin(turn);
  let sum = 0;
  for (let i = 0; i < points.length; i += 2) {
    const x = points[i];
    const y = points[i + 1];
    // The axis runs along (cx, cy); its normal is (−cy, cx).
    const d = -(x - mean[0]) * cy + (y - mean[1]) * cx - offset;
    sum += field(x + 2 * d * cy, y - 2 * d * cx);
  }
  return sum / (points.length / 2);
}

/** Finds the axis of mirror symmetry of a horseshoe seen from above; mm in and out. */
export function mirrorAxis(points: readonly Vec2[]): MirrorAxis {
  const field = distanceField(points);
  const mean: Vec2 = [
    points.reduce((s, p) => s + p[0], 0) / points.length,
    points.reduce((s, p) => s + p[1], 0) / points.length,
  ];
  const flat = Float64Array.from(points.flat());
  const miss = (turn: number, offset: number): number => missAcross(flat, mean, field, turn, offset);
  let best = { turn: 0, offset: 0, value: Infinity };
  for (let k = 0; k < 36; k++) {
    for (let offset = -9; offset <= 9; offset += 1.5) {
      const turn = (k * Math.PI) / 36;
      const value = miss(turn, offset);
      if (value < best.value) best = { turn, offset, value };
    }
  }
  for (let turnStep = Math.PI / 72, offsetStep = 0.8; turnStep > 0.0005; turnStep /= 2, offsetStep /= 2) {
    for (let improved = true; improved; ) {
      improved = false;
      for (const [s, t] of [
        [1, 0],
        [-1, 0],
        [0, 1],
        [0, -1],
        [1, 1],
        [1, -1],
        [-1, 1],
        [-1, -1],
      ]) {
        const turn = best.turn + s * turnStep;
        const offset = best.offset + t * offsetStep;
        const value = miss(turn, offset);
        if (value < best.value - 1e-9) {
          best = { turn, offset, value };
          improved = true;
        }
      }
    }
  }
  const along: Vec2 = [Math.cos(best.turn), Math.sin(best.turn)];
  const at: Vec2 = [mean[0] - best.offset * along[1], mean[1] + best.offset * along[0]];
  const { sign, share } = closedEnd(points, at, along);
  return { at, forward: [sign * along[0], sign * along[1]], missMm: best.value, frontShare: share };
}
