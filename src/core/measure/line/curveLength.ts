import type { CurveFamily } from './CurveFamily.ts';

// Gauss–Legendre, 8 points on [−1, 1]; positive half (Abramowitz & Stegun 1964, table 25.4; from memory,
// proven by the closed forms in tests).
const NODES = [0.1834346424956498, 0.525532409916329, 0.7966664774136267, 0.9602898564975363];
const SHARES = [0.362683783378362, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763];

const c = new Float64Array(6);

function piece(family: CurveFamily, p: Float64Array, from: number, to: number): number {
  const middle = (from + to) / 2;
  const half = (to - from) / 2;
  let sum = 0;
  for (let k = 0; k < 4; k++)
    for (const sign of [-1, 1]) {
      family.at(p, middle + sign * half * NODES[k], c);
      sum += SHARES[k] * Math.sqrt(c[2] * c[2] + c[3] * c[3]);
    }
  return sum * half;
}

function adaptive(
  family: CurveFamily,
  p: Float64Array,
  from: number,
  to: number,
  whole: number,
  tolerance: number,
  depth: number,
): number {
  const middle = (from + to) / 2;
  const left = piece(family, p, from, middle);
  const right = piece(family, p, middle, to);
  if (depth === 0 || Math.abs(left + right - whole) <= tolerance) return left + right;
  return (
    adaptive(family, p, from, middle, left, tolerance / 2, depth - 1) +
    adaptive(family, p, middle, to, right, tolerance / 2, depth - 1)
  );
}

/**
 * Length of a curve between two parameters, by Gauss–Legendre halving until two levels agree; signed.
 *
 * Units:    those of the curve.
 * Accuracy: 1e-9 relative against closed forms (parabola, catenary, ellipse, beta) — tests/core/measure/curveLength.test.ts.
 */
export function curveLength(family: CurveFamily, p: Float64Array, from: number, to: number): number {
  const whole = piece(family, p, from, to);
  return adaptive(family, p, from, to, whole, 1e-11 * Math.abs(whole), 40);
}

/** The same with a fixed number of pieces; for finite differences, where every call must err alike. */
export function curveLengthFixed(
  family: CurveFamily,
  p: Float64Array,
  from: number,
  to: number,
  pieces: number,
): number {
  let sum = 0;
  for (let k = 0; k < pieces; k++)
    sum += piece(family, p, from + ((to - from) * k) / pieces, from + ((to - from) * (k + 1)) / pieces);
  return sum;
}
