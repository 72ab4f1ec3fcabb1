import { Refusal } from '../base/refusal.ts';
import { studentQuantile } from '../base/studentDistribution.ts';
import { STUDY_CONVENTIONS, type StudyConventions } from './Conventions.ts';
import { checkPairs, checkVaries, type Interval, noVariation, UPPER_TAIL } from './pairs.ts';
import { mean, sumOfProducts, sumOfSquares } from './sums.ts';

/** second = intercept + slope · first. */
export interface MethodLine {
  readonly slope: number;
  readonly intercept: number;
  readonly slopeCi: Interval | null;
  readonly interceptCi: Interval | null;
}

/**
 * Deming's line, both columns in error; intervals by the jackknife with t(n − 2), from n = 3.
 *
 * Shape:    n ≥ 2 pairs; `errorRatio` = variance of the first column's errors ÷ that of the second's.
 * Refuses:  'too-few-pairs', 'number-invalid', 'no-variation' (a constant or uncorrelated column), 'field-invalid'.
 * Accuracy: the reference set TD13 of the R package mcr to its printed digits — tests/core/study/regression.test.ts.
 * Source:   Deming WE, Statistical Adjustment of Data, 1943 (from memory, unverified); jackknife: Linnet K, Clin Chem
 *           1993;39:424–432 (from memory, unverified).
 */
export function deming(
  a: readonly number[],
  b: readonly number[],
  errorRatio = 1,
  { jackknifeCentre }: StudyConventions = STUDY_CONVENTIONS,
): MethodLine {
  checkPairs('deming', a, b, 2);
  checkVaries('deming', a, b);
  if (!(errorRatio > 0 && Number.isFinite(errorRatio)))
    throw new Refusal(
      'field-invalid',
      `deming: the ratio of error variances is no such ratio; got ${errorRatio}, need a number above 0. Correct it.`,
    );
  const n = a.length;
  const all: Moments = {
    n,
    meanA: mean(a),
    meanB: mean(b),
    saa: sumOfSquares(a),
    sbb: sumOfSquares(b),
    sab: sumOfProducts(a, b),
  };
  const [slope, intercept] = lineThrough(all, errorRatio);
  if (!Number.isFinite(slope)) throw noVariation('deming', 'the columns do not vary together');
  const none = { slope, intercept, slopeCi: null, interceptCi: null };
  if (n < 3) return none;
  const left = a.map((value, i) => lineThrough(without(all, value, b[i]), errorRatio));
  if (left.some(([s]) => !Number.isFinite(s))) return none;
  const t = studentQuantile(UPPER_TAIL, n - 2);
  const interval = (whole: number, parts: readonly number[]): Interval => {
    const middle = mean(parts);
    const se = Math.sqrt(((n - 1) / n) * sumOfSquares(parts));
    const centre = jackknifeCentre === 'full-sample' ? whole : n * whole - (n - 1) * middle;
    return [centre - t * se, centre + t * se];
  };
  return {
    slope,
    intercept,
    slopeCi: interval(
      slope,
      left.map(([s]) => s),
    ),
    interceptCi: interval(
      intercept,
      left.map(([, i]) => i),
    ),
  };
}

interface Moments {
  readonly n: number;
  readonly meanA: number;
  readonly meanB: number;
  readonly saa: number;
  readonly sbb: number;
  readonly sab: number;
}

function lineThrough(
  { meanA, meanB, saa, sbb, sab }: Moments,
  errorRatio: number,
): readonly [number, number] {
  const excess = sbb - saa / errorRatio;
  const root = Math.hypot(excess, (2 * sab) / Math.sqrt(errorRatio));
  // The form that does not cancel, whichever sign the excess has.
  const slope = excess >= 0 ? (excess + root) / (2 * sab) : (2 * sab) / errorRatio / (root - excess);
  return [slope, meanB - slope * meanA];
}

/** Moments of the pairs but one, from those of all. */
function without(all: Moments, a: number, b: number): Moments {
  const { n } = all;
  const [offA, offB] = [a - all.meanA, b - all.meanB];
  const share = n / (n - 1);
  return {
    n: n - 1,
    meanA: all.meanA - offA / (n - 1),
    meanB: all.meanB - offB / (n - 1),
    saa: all.saa - share * offA ** 2,
    sbb: all.sbb - share * offB ** 2,
    sab: all.sab - share * offA * offB,
  };
}
