import { normalQuantile } from '../base/normalDistribution.ts';
import { studentQuantile } from '../base/studentDistribution.ts';
import { STUDY_CONVENTIONS, type StudyConventions } from './Conventions.ts';
import { toleranceFactor } from './noncentralT.ts';
import { checkPairs, type Interval, isConstant, largestOf, UPPER_TAIL } from './pairs.ts';
import { mean, standardDeviation } from './sums.ts';

export interface Agreement {
  readonly n: number;
  readonly bias: number;
  readonly sd: number;
  readonly biasSe: number;
  readonly biasCi: Interval;
  readonly limits: Interval;
  /** Standard error of one limit; null where its interval is exact, which is not symmetric. */
  readonly limitsSe: number | null;
  readonly limitsCi: readonly [Interval, Interval]; // of the lower limit, of the upper limit
}

/** First minus second, pair by pair; differences that are rounding only are one number. */
export function differencesOf(a: readonly number[], b: readonly number[]): readonly number[] {
  const differences = a.map((value, i) => value - b[i]);
  if (!isConstant(differences, largestOf(a, b))) return differences;
  const one = mean(differences);
  return differences.map(() => one);
}

export const limitsFactor = ({ limitsFactor: chosen }: StudyConventions): number =>
  chosen === 'exact' ? normalQuantile(UPPER_TAIL) : Number(chosen);

/**
 * Bias and limits of agreement of two columns; difference = first − second, SD with n − 1.
 *
 * Shape:    n ≥ 2 pairs.
 * Units:    those of the columns.
 * Refuses:  'too-few-pairs', 'number-invalid'.
 * Accuracy: every printed digit of both papers' data — tests/core/study/blandAltman.test.ts.
 * Source:   Bland JM, Altman DG, Lancet 1986;i:307–310 and Stat Methods Med Res 1999;8:135–160 (secondary).
 */
export function limitsOfAgreement(
  a: readonly number[],
  b: readonly number[],
  conventions: StudyConventions = STUDY_CONVENTIONS,
): Agreement {
  checkPairs('limitsOfAgreement', a, b, 2);
  const differences = differencesOf(a, b);
  const n = differences.length;
  const bias = mean(differences);
  const sd = isConstant(differences) ? 0 : standardDeviation(differences);
  const biasSe = sd / Math.sqrt(n);
  const t = studentQuantile(UPPER_TAIL, n - 1);
  const factor = limitsFactor(conventions);
  const limits: Interval = [bias - factor * sd, bias + factor * sd];
  const around = (centre: number, half: number): Interval => [centre - half, centre + half];
  const base = { n, bias, sd, biasSe, biasCi: around(bias, t * biasSe), limits };
  if (conventions.limitsInterval === 'exact') {
    const near = sd * toleranceFactor(1 - UPPER_TAIL, n, factor);
    const far = sd * toleranceFactor(UPPER_TAIL, n, factor);
    return {
      ...base,
      limitsSe: null,
      limitsCi: [
        [bias - far, bias - near],
        [bias + near, bias + far],
      ],
    };
  }
  const limitsSe =
    conventions.limitsInterval === '1986'
      ? sd * Math.sqrt(3 / n)
      : sd * Math.sqrt(1 / n + factor ** 2 / (2 * (n - 1)));
  return { ...base, limitsSe, limitsCi: [around(limits[0], t * limitsSe), around(limits[1], t * limitsSe)] };
}
