import { Refusal } from '../base/refusal.ts';
import { studentQuantile } from '../base/studentDistribution.ts';
import { STUDY_CONVENTIONS, type StudyConventions } from './Conventions.ts';
import { limitsFactor } from './limitsOfAgreement.ts';
import { checkValues, type Interval, UPPER_TAIL } from './pairs.ts';
import { mean, stableSum, standardDeviation, sumOfSquares, variance } from './sums.ts';

/** One subject measured several times by each method; the numbers of times may differ. */
export interface ReplicateSubject {
  readonly a: readonly number[];
  readonly b: readonly number[];
}

export interface ReplicateAgreement {
  readonly subjects: number;
  readonly bias: number;
  readonly biasCi: Interval;
  readonly withinVarianceA: number | null; // null where nothing was measured twice
  readonly withinVarianceB: number | null;
  readonly repeatabilityA: number | null; // 1.96 √2 within-subject SD
  readonly repeatabilityB: number | null;
  readonly varianceOfMeanDifferences: number;
  readonly varianceOfDifferences: number; // of single measurements, the averaging undone
  readonly sd: number;
  readonly limits: Interval;
  readonly limitsCi: readonly [Interval, Interval];
}

/**
 * Limits of agreement between single measurements from repeated ones, equal or unequal in number, where a subject's
 * true value stays the same.
 *
 * Shape:    n ≥ 2 subjects, each measured at least once by either method.
 * Refuses:  'too-few-pairs', 'number-invalid'.
 * Accuracy: both data sets of the paper to their printed digits — tests/core/study/blandAltman.test.ts.
 * Source:   Bland JM, Altman DG, Stat Methods Med Res 1999;8:135–160, section 5 (secondary); the standard error of
 *           the limits by the delta method as there (from memory, unverified).
 */
export function replicateAgreement(
  subjects: readonly ReplicateSubject[],
  conventions: StudyConventions = STUDY_CONVENTIONS,
): ReplicateAgreement {
  const n = subjects.length;
  if (n < 2 || subjects.some(({ a, b }) => a.length === 0 || b.length === 0))
    throw new Refusal(
      'too-few-pairs',
      `replicateAgreement: too few measurements; got ${n} subjects, need at least 2, each measured by both methods. Add measurements or leave out who lacks one.`,
      { subjects: n },
    );
  for (const { a, b } of subjects) checkValues('replicateAgreement', [...a, ...b]);
  const ofA = withinSubjects(subjects.map(({ a }) => a));
  const ofB = withinSubjects(subjects.map(({ b }) => b));
  const differences = subjects.map(({ a, b }) => mean(a) - mean(b));
  const bias = mean(differences);
  const varianceOfMeanDifferences = variance(differences);
  const varianceOfDifferences = varianceOfMeanDifferences + ofA.averagedAway + ofB.averagedAway;
  const sd = Math.sqrt(varianceOfDifferences);
  const factor = limitsFactor(conventions);
  const t = studentQuantile(UPPER_TAIL, n - 1);
  const biasHalf = (t * standardDeviation(differences)) / Math.sqrt(n);
  const varianceOfVariance =
    (2 * varianceOfMeanDifferences ** 2) / (n - 1) + ofA.averagedAwayVariance + ofB.averagedAwayVariance;
  const limitSe = Math.sqrt(
    varianceOfMeanDifferences / n + (sd > 0 ? (factor ** 2 * varianceOfVariance) / (4 * sd ** 2) : 0),
  );
  const limits: Interval = [bias - factor * sd, bias + factor * sd];
  const around = (centre: number): Interval => [centre - t * limitSe, centre + t * limitSe];
  return {
    subjects: n,
    bias,
    biasCi: [bias - biasHalf, bias + biasHalf],
    withinVarianceA: ofA.variance,
    withinVarianceB: ofB.variance,
    repeatabilityA: repeatability(ofA.variance),
    repeatabilityB: repeatability(ofB.variance),
    varianceOfMeanDifferences,
    varianceOfDifferences,
    sd,
    limits,
    limitsCi: [around(limits[0]), around(limits[1])],
  };
}

const repeatability = (within: number | null): number | null =>
  within === null ? null : 1.96 * Math.SQRT2 * Math.sqrt(within);

/** Variance within subjects pooled over them, and the part of it that taking means has hidden. */
function withinSubjects(subjects: readonly (readonly number[])[]) {
  const degrees = stableSum(subjects.map((values) => values.length - 1));
  if (degrees === 0) return { variance: null, averagedAway: 0, averagedAwayVariance: 0 };
  const within = stableSum(subjects.map(sumOfSquares)) / degrees;
  const hidden = 1 - mean(subjects.map((values) => 1 / values.length));
  return {
    variance: within,
    averagedAway: hidden * within,
    averagedAwayVariance: (2 * hidden ** 2 * within ** 2) / degrees,
  };
}
