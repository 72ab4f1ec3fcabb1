import { studentProbability, studentQuantile } from '../base/studentDistribution.ts';
import { differencesOf } from './limitsOfAgreement.ts';
import { checkPairs, type Interval, isConstant, largestOf, noVariation, UPPER_TAIL } from './pairs.ts';
import { mean, sumOfProducts, sumOfSquares } from './sums.ts';

/** Straight line of the differences on the means of the pairs. */
export interface ProportionalBias {
  readonly slope: number;
  readonly intercept: number;
  readonly slopeSe: number;
  readonly slopeCi: Interval;
  readonly p: number | null; // two-sided, slope 0; null where every point lies on the line
}

/**
 * Does the difference grow with the size measured? Least squares of difference on mean.
 *
 * Shape:    n ≥ 3 pairs whose means differ.
 * Refuses:  'too-few-pairs', 'number-invalid', 'no-variation'.
 * Accuracy: NIST's Norris certified values to 9 digits — tests/core/study/nist.test.ts.
 * Source:   Bland JM, Altman DG, Stat Methods Med Res 1999;8:135–160, section 3 (secondary).
 */
export function proportionalBias(a: readonly number[], b: readonly number[]): ProportionalBias {
  checkPairs('proportionalBias', a, b, 3);
  const means = a.map((value, i) => (value + b[i]) / 2);
  if (isConstant(means, largestOf(a, b)))
    throw noVariation('proportionalBias', 'the means of the pairs are all the same');
  const { slope, intercept, slopeSe, residualSd } = straightLine(means, differencesOf(a, b));
  const n = a.length;
  const half = studentQuantile(UPPER_TAIL, n - 2) * slopeSe;
  return {
    slope,
    intercept,
    slopeSe,
    slopeCi: [slope - half, slope + half],
    p: residualSd === 0 ? null : 2 * studentProbability(-Math.abs(slope / slopeSe), n - 2),
  };
}

export interface StraightLine {
  readonly slope: number;
  readonly intercept: number;
  readonly slopeSe: number;
  readonly interceptSe: number;
  readonly residualSd: number; // with n − 2
}

/** Ordinary least squares of y on x, n ≥ 3; x must vary. */
export function straightLine(x: readonly number[], y: readonly number[]): StraightLine {
  const n = x.length;
  const sxx = sumOfSquares(x);
  const slope = sumOfProducts(x, y) / sxx;
  const meanX = mean(x);
  const intercept = mean(y) - slope * meanX;
  const residuals = y.map((value, i) => value - intercept - slope * x[i]);
  const residualSd = Math.sqrt(sumOfSquares(residuals) / (n - 2));
  return {
    slope,
    intercept,
    slopeSe: residualSd / Math.sqrt(sxx),
    interceptSe: residualSd * Math.sqrt(1 / n + meanX ** 2 / sxx),
    residualSd,
  };
}
