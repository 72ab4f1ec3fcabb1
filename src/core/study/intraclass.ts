import { fQuantile } from '../base/fDistribution.ts';
import { Refusal } from '../base/refusal.ts';
import { checkValues, type Interval, isConstant, noVariation, UPPER_TAIL } from './pairs.ts';
import { mean, stableSum } from './sums.ts';

/** Mean squares of subjects × raters. */
export interface MeanSquares {
  readonly subjects: number; // between subjects
  readonly within: number; // within subjects
  readonly raters: number; // between raters
  readonly error: number; // residual
}

/** An intraclass correlation; null where a mean square that divides is 0. */
export interface IntraclassEstimate {
  readonly value: number | null;
  readonly ci: Interval | null;
}

/** One rating (single) or the mean of all (average); model 1, 2 or 3 of Shrout and Fleiss. */
export interface IntraclassForms {
  readonly single1: IntraclassEstimate;
  readonly single2: IntraclassEstimate;
  readonly single3: IntraclassEstimate;
  readonly average1: IntraclassEstimate;
  readonly average2: IntraclassEstimate;
  readonly average3: IntraclassEstimate;
}

export interface Intraclass extends IntraclassForms {
  readonly subjects: number;
  readonly raters: number;
  readonly meanSquares: MeanSquares;
}

/**
 * The six intraclass correlations with their 95 % intervals: model 1 raters differ from subject to subject, model
 * 2 the same raters drawn from many, model 3 these raters only (consistency).
 *
 * Shape:    one row a subject, one value a rater; n ≥ 2 subjects, k ≥ 2 raters, none missing.
 * Refuses:  'too-few-pairs', 'number-invalid', 'no-variation' (every value the same).
 * Accuracy: the paper's table to its printed digits — tests/core/study/intraclass.test.ts.
 * Source:   Shrout PE, Fleiss JL, Psychol Bull 1979;86:420–428 (secondary).
 */
export function intraclass(rows: readonly (readonly number[])[]): Intraclass {
  const n = rows.length;
  const k = rows[0]?.length ?? 0;
  if (n < 2 || k < 2)
    throw new Refusal(
      'too-few-pairs',
      `intraclass: too few values; got ${n} subjects and ${k} raters, need at least 2 of each. Add measurements.`,
      { subjects: n, raters: k },
    );
  if (rows.some((row) => row.length !== k)) throw new Error('intraclass: rows differ in length.');
  const all = rows.flat();
  checkValues('intraclass', all);
  if (isConstant(all)) throw noVariation('intraclass', 'every value is the same');
  const ms = meanSquares(rows, n, k);
  const { subjects: bms, within: wms, raters: jms, error: ems } = ms;

  const df = n - 1;
  const dfError = df * (k - 1);
  const dfWithin = n * (k - 1);
  const oneWay = bounds(bms / wms, df, dfWithin);
  const twoWay = bounds(bms / ems, df, dfError);
  const singleOf = (f: number): number => (f - 1) / (f + k - 1);
  const averageOf = (f: number): number => 1 - 1 / f;
  const steppedUp = (icc: number): number => (k * icc) / (1 + (k - 1) * icc);

  const single2 = (bms - ems) / (bms + (k - 1) * ems + (k * (jms - ems)) / n);
  const ci2 = randomRatersInterval(single2, ms, n, k);
  return {
    subjects: n,
    raters: k,
    meanSquares: ms,
    single1: estimate((bms - wms) / (bms + (k - 1) * wms), through(oneWay, singleOf)),
    single2: estimate(single2, ci2),
    single3: estimate((bms - ems) / (bms + (k - 1) * ems), through(twoWay, singleOf)),
    average1: estimate((bms - wms) / bms, through(oneWay, averageOf)),
    average2: estimate((bms - ems) / (bms + (jms - ems) / n), through(ci2, steppedUp)),
    average3: estimate((bms - ems) / bms, through(twoWay, averageOf)),
  };
}

function meanSquares(rows: readonly (readonly number[])[], n: number, k: number): MeanSquares {
  const grand = mean(rows.flat());
  const rowMeans = rows.map(mean);
  const columnMeans = rows[0].map((_, j) => mean(rows.map((row) => row[j])));
  const ofRows = k * stableSum(rowMeans.map((m) => (m - grand) ** 2));
  const ofColumns = n * stableSum(columnMeans.map((m) => (m - grand) ** 2));
  const within = stableSum(rows.flatMap((row, i) => row.map((value) => (value - rowMeans[i]) ** 2)));
  // Summed by itself: the difference of the two sums above loses its digits where raters agree well.
  const error = stableSum(
    rows.flatMap((row, i) => row.map((value, j) => (value - rowMeans[i] - columnMeans[j] + grand) ** 2)),
  );
  const floor = 1e-24 * stableSum(rows.flat().map((value) => value ** 2)); // rounding alone
  const orZero = (sum: number): number => (sum > floor ? sum : 0);
  return {
    subjects: orZero(ofRows) / (n - 1),
    within: orZero(within) / (n * (k - 1)),
    raters: orZero(ofColumns) / (k - 1),
    error: orZero(error) / ((n - 1) * (k - 1)),
  };
}

/** The variance ratio over and times the F quantiles of its degrees of freedom. */
function bounds(f: number, above: number, below: number): Interval | null {
  if (!Number.isFinite(f)) return null;
  return [f / fQuantile(UPPER_TAIL, above, below), f * fQuantile(UPPER_TAIL, below, above)];
}

/** Interval of ICC(2,1), with Satterthwaite's degrees of freedom. */
function randomRatersInterval(icc: number, { subjects, raters, error }: MeanSquares, n: number, k: number) {
  if (!Number.isFinite(icc) || error === 0) return null;
  const ratio = raters / error;
  const top = k * icc * ratio + n * (1 + (k - 1) * icc) - k * icc;
  const df =
    ((k - 1) * (n - 1) * top ** 2) /
    ((n - 1) * k ** 2 * icc ** 2 * ratio ** 2 + (n * (1 + (k - 1) * icc) - k * icc) ** 2);
  if (!(df > 0 && Number.isFinite(df))) return null;
  const low = fQuantile(UPPER_TAIL, n - 1, df);
  const high = fQuantile(UPPER_TAIL, df, n - 1);
  const between = k * raters + (k * n - k - n) * error;
  return [
    (n * (subjects - low * error)) / (low * between + n * subjects),
    (n * (high * subjects - error)) / (between + n * high * subjects),
  ] as const;
}

const through = (interval: Interval | null, change: (end: number) => number): Interval | null =>
  interval && [change(interval[0]), change(interval[1])];

const estimate = (value: number, ci: Interval | null): IntraclassEstimate => ({
  value: Number.isFinite(value) ? value : null,
  ci: Number.isFinite(value) && ci?.every(Number.isFinite) && ci[0] <= ci[1] ? ci : null,
});
