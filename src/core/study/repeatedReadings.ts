import { chiSquareQuantile } from '../base/chiSquareDistribution.ts';
import { fProbability } from '../base/fDistribution.ts';
import { Refusal } from '../base/refusal.ts';
import { studentQuantile } from '../base/studentDistribution.ts';
import { checkValues, type Interval, UPPER_TAIL } from './pairs.ts';
import { mean, stableSum, standardDeviation, sumOfSquares } from './sums.ts';

/** Error of repeated readings by one-way analysis of variance. */
export interface RepeatedReadings {
  readonly subjects: number; // with at least two readings
  readonly readings: number;
  readonly degreesOfFreedom: number; // within subjects
  readonly withinSd: number;
  readonly withinSdCi: Interval | null; // null where every repeat is the same
  readonly withinPercent: number; // of the mean of all readings
  readonly repeatability: number; // 1.96 √2 within-subject SD
  readonly repeatabilityCi: Interval | null;
  readonly betweenSd: number | null; // of the subjects' true values; null with one subject
  readonly f: number | null; // mean square between ÷ within; null where that is 0
  readonly p: number | null;
}

/**
 * Within-subject SD of repeated readings, equal or unequal in number, and the repeatability coefficient: two
 * readings of one subject differ by less in 95 % of pairs. Subjects read once tell nothing and are passed over. A
 * steady difference between readings counts as error.
 *
 * Shape:    n ≥ 1 subject read at least twice.
 * Units:    those of the readings; `withinPercent` percent.
 * Refuses:  'too-few-pairs', 'number-invalid'.
 * Accuracy: variances within subjects of the paper's blood pressures, mean squares of Shrout and Fleiss, all to
 *           their printed digits; pairs give Dahlberg's error — tests/core/study/repeatedReadings.test.ts.
 * Source:   Bland JM, Altman DG, BMJ 1996;313:744 (secondary); interval by the chi-square distribution (common
 *           practice, no source); between-subject SD with unequal numbers by the method of moments (from memory,
 *           unverified).
 */
export function repeatedReadings(subjects: readonly (readonly number[])[]): RepeatedReadings {
  const repeated = subjects.filter((values) => values.length > 1);
  const all = repeated.flat();
  if (repeated.length === 0)
    throw new Refusal(
      'too-few-pairs',
      'repeatedReadings: nothing was read twice; got no subject with two readings, need at least one. Add readings.',
    );
  checkValues('repeatedReadings', all);
  const n = repeated.length;
  const degreesOfFreedom = all.length - n;
  const within = stableSum(repeated.map(sumOfSquares)) / degreesOfFreedom;
  const withinSd = Math.sqrt(within);
  const half = (tail: number): number =>
    withinSd * Math.sqrt(degreesOfFreedom / chiSquareQuantile(tail, degreesOfFreedom));
  const withinSdCi: Interval | null = within > 0 ? [half(UPPER_TAIL), half(1 - UPPER_TAIL)] : null;
  const factor = 1.96 * Math.SQRT2;
  const grand = mean(all);
  const between =
    n < 2 ? null : stableSum(repeated.map((values) => values.length * (mean(values) - grand) ** 2)) / (n - 1);
  const perSubject =
    n < 2 ? 0 : (all.length - stableSum(repeated.map((values) => values.length ** 2)) / all.length) / (n - 1);
  const f = between === null || within === 0 ? null : between / within;
  return {
    subjects: n,
    readings: all.length,
    degreesOfFreedom,
    withinSd,
    withinSdCi,
    withinPercent: (100 * withinSd) / grand,
    repeatability: factor * withinSd,
    repeatabilityCi: withinSdCi && [factor * withinSdCi[0], factor * withinSdCi[1]],
    betweenSd: between === null ? null : Math.sqrt(Math.max(0, (between - within) / perSubject)),
    f,
    p: f === null ? null : 1 - fProbability(f, n - 1, degreesOfFreedom),
  };
}

/** A reading against the mean of all readings of the same subjects. */
export interface ReadingBias {
  readonly bias: number;
  readonly biasCi: Interval | null; // null with one subject
  readonly sd: number | null;
}

/**
 * How far each reading lies from the mean of all of them, over subjects that every reading has.
 *
 * Shape:    one row a subject, one value a reading.
 * Units:    those of the readings.
 * Refuses:  'too-few-pairs', 'number-invalid'.
 */
export function readingBiases(rows: readonly (readonly number[])[]): readonly ReadingBias[] {
  const count = rows[0]?.length ?? 0;
  if (count < 2)
    throw new Refusal(
      'too-few-pairs',
      'readingBiases: too few readings; got no subject that two readings have, need at least one. Add readings.',
    );
  if (rows.some((row) => row.length !== count)) throw new Error('readingBiases: rows differ in length.');
  checkValues('readingBiases', rows.flat());
  const middles = rows.map(mean);
  return rows[0].map((_, j) => {
    const offs = rows.map((row, i) => row[j] - middles[i]);
    const bias = mean(offs);
    if (rows.length < 2) return { bias, biasCi: null, sd: null };
    const sd = standardDeviation(offs);
    const reach = (studentQuantile(UPPER_TAIL, rows.length - 1) * sd) / Math.sqrt(rows.length);
    return { bias, biasCi: [bias - reach, bias + reach], sd };
  });
}
