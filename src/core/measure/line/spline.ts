import type { CurveFamily } from './CurveFamily.ts';

/** Pieces of the spline; enough that the smoothing, not the knots, limits it. */
const PIECES = 14;
/** Range of the angle on each side, from the front; beyond it the last piece is continued. rad. */
const REACH = 2.4;
const STEP = (2 * REACH) / PIECES;
const COUNT = PIECES + 3;

/** Smoothing: see smoothingRule. */
export interface SplineOptions {
  readonly smoothing: number;
  readonly order: 2 | 3;
}

/** Values, first and second derivatives of the four cubic B-splines alive on a piece, at f in it. */
function basis(f: number, out: Float64Array): void {
  const g = 1 - f;
  out[0] = (g * g * g) / 6;
  out[1] = (3 * f * f * f - 6 * f * f + 4) / 6;
  out[2] = (-3 * f * f * f + 3 * f * f + 3 * f + 1) / 6;
  out[3] = (f * f * f) / 6;
  out[4] = -(g * g) / 2 / STEP;
  out[5] = (9 * f * f - 12 * f) / 6 / STEP;
  out[6] = (-9 * f * f + 6 * f + 3) / 6 / STEP;
  out[7] = (f * f) / 2 / STEP;
  out[8] = g / (STEP * STEP);
  out[9] = (3 * f - 2) / (STEP * STEP);
  out[10] = (1 - 3 * f) / (STEP * STEP);
  out[11] = f / (STEP * STEP);
}

function penaltyMatrix({ smoothing, order }: SplineOptions): Float64Array {
  const matrix = new Float64Array(COUNT * COUNT);
  const difference = order === 2 ? [1, -2, 1] : [-1, 3, -3, 1];
  const factor = smoothing / STEP ** (2 * order - 1);
  for (let row = 0; row + order < COUNT; row++)
    for (let i = 0; i <= order; i++)
      for (let j = 0; j <= order; j++)
        matrix[(row + i) * COUNT + row + j] += factor * difference[i] * difference[j];
  return matrix;
}

export function spline(options: SplineOptions): CurveFamily {
  const b = new Float64Array(12);
  const piece = (t: number): number => Math.min(PIECES - 1, Math.max(0, Math.floor((t + REACH) / STEP)));
  return {
    form: 'spline',
    parameterCount: COUNT,
    penalty: penaltyMatrix(options),
    domain: () => [-REACH - STEP / 2, REACH + STEP / 2],
    at(p, t, out) {
      const i = piece(t);
      basis((t + REACH) / STEP - i, b);
      const r = b[0] * p[i] + b[1] * p[i + 1] + b[2] * p[i + 2] + b[3] * p[i + 3];
      const dr = b[4] * p[i] + b[5] * p[i + 1] + b[6] * p[i + 2] + b[7] * p[i + 3];
      const ddr = b[8] * p[i] + b[9] * p[i + 1] + b[10] * p[i + 2] + b[11] * p[i + 3];
      const s = Math.sin(t);
      const c = Math.cos(t);
      out[0] = r * s;
      out[1] = r * c;
      out[2] = dr * s + r * c;
      out[3] = dr * c - r * s;
      out[4] = ddr * s + 2 * dr * c - r * s;
      out[5] = ddr * c - 2 * dr * s - r * c;
    },
    byParameter(_p, t, out) {
      const i = piece(t);
      basis((t + REACH) / STEP - i, b);
      out.fill(0, 0, 2 * COUNT);
      const s = Math.sin(t);
      const c = Math.cos(t);
      for (let k = 0; k < 4; k++) {
        out[2 * (i + k)] = b[k] * s;
        out[2 * (i + k) + 1] = b[k] * c;
      }
    },
    start(height) {
      const p = new Float64Array(COUNT);
      for (let k = 0; k < COUNT; k++) {
        const t = -REACH + (k - 1) * STEP;
        // half ellipse 1 wide, `height` deep in front; a straight-sided arch behind
        p[k] =
          Math.abs(t) < Math.PI / 2
            ? 1 / Math.hypot(Math.sin(t), Math.cos(t) / height)
            : 1 / Math.max(0.5, Math.abs(Math.sin(t)));
      }
      return p;
    },
    sound: (p) => p.every((r) => Number.isFinite(r) && r > -1 && r < 10),
  };
}
