import { normalQuantile } from '../base/normalDistribution.ts';
import { Refusal } from '../base/refusal.ts';
import { STUDY_CONVENTIONS, type StudyConventions } from './Conventions.ts';
import type { MethodLine } from './deming.ts';
import { checkPairs, checkVaries, type Interval, noVariation, UPPER_TAIL } from './pairs.ts';

/** Every pair of points has a slope: this many points have 18 million. */
const MOST_PASSING_BABLOK_PAIRS = 6000;

/**
 * Passing and Bablok's line: the shifted median of the slopes of all pairs of points; no distribution of the errors
 * is assumed, and no outlier pulls it.
 *
 * Shape:    3 ≤ n ≤ 6000 pairs of positively related columns.
 * Refuses:  'too-few-pairs', 'too-many-pairs', 'number-invalid', 'no-variation'.
 * Accuracy: the reference set TD13 of the R package mcr to its printed digits — tests/core/study/regression.test.ts.
 * Source:   Passing H, Bablok W, J Clin Chem Clin Biochem 1983;21:709–720 (from memory, unverified). Two points over
 *           each other have the slope +∞, whatever their order: DEVELOPERS.md#agreement-statistics.
 */
export function passingBablok(
  a: readonly number[],
  b: readonly number[],
  { passingBablokRank }: StudyConventions = STUDY_CONVENTIONS,
): MethodLine {
  checkPairs('passingBablok', a, b, 3);
  checkVaries('passingBablok', a, b);
  const n = a.length;
  if (n > MOST_PASSING_BABLOK_PAIRS)
    throw new Refusal(
      'too-many-pairs',
      `passingBablok: too many pairs; got ${n}, need at most ${MOST_PASSING_BABLOK_PAIRS}. Use Deming's line, or fewer pairs.`,
      { n },
    );
  const slopes = slopesOf(a, b);
  const count = slopes.length;
  const above = slopes.findIndex((value) => value > -1);
  const shift = above < 0 ? count : above;
  const slope = shiftedMedian(slopes, shift);
  if (!Number.isFinite(slope)) throw noVariation('passingBablok', 'the slopes have no median');
  const intercept = medianIntercept(a, b, slope);
  const slopeCi = slopeInterval(slopes, shift, n, passingBablokRank);
  return {
    slope,
    intercept,
    slopeCi,
    interceptCi: slopeCi && ordered(slopeCi.map((end) => medianIntercept(a, b, end))),
  };
}

/** The steeper slope has the lower intercept only where the first column is above 0. */
const ordered = ([one, other]: readonly number[]): Interval => [Math.min(one, other), Math.max(one, other)];

/** Slopes of all pairs of points but equal points and slopes of exactly −1, in rising order. */
function slopesOf(a: readonly number[], b: readonly number[]): Float64Array {
  const slopes = new Float64Array((a.length * (a.length - 1)) / 2);
  let count = 0;
  for (let i = 0; i < a.length; i++)
    for (let j = i + 1; j < a.length; j++) {
      const [run, rise] = [a[j] - a[i], b[j] - b[i]];
      if (run === 0 && rise === 0) continue;
      const slope = run === 0 ? Number.POSITIVE_INFINITY : rise / run;
      if (slope !== -1) slopes[count++] = slope;
    }
  return slopes.subarray(0, count).sort();
}

/** The median `shift` places up; NaN where that is beyond the last slope. */
function shiftedMedian(slopes: Float64Array, shift: number): number {
  const count = slopes.length;
  const half = Math.floor(count / 2);
  const at = (rank: number): number => slopes[rank - 1 + shift] ?? Number.NaN;
  return count % 2 ? at(half + 1) : (at(half) + at(half + 1)) / 2;
}

function slopeInterval(
  slopes: Float64Array,
  shift: number,
  n: number,
  rank: StudyConventions['passingBablokRank'],
): Interval | null {
  const count = slopes.length;
  const spread = normalQuantile(UPPER_TAIL) * Math.sqrt((n * (n - 1) * (2 * n + 5)) / 18);
  const lowest = Math.round((count - (rank === 'rounded-first' ? Math.round(spread) : spread)) / 2);
  const low = slopes[lowest + shift - 1];
  const high = slopes[count - lowest + 1 + shift - 1];
  return lowest >= 1 && Number.isFinite(low) && Number.isFinite(high) ? [low, high] : null;
}

function medianIntercept(a: readonly number[], b: readonly number[], slope: number): number {
  const rests = Float64Array.from(a, (value, i) => b[i] - slope * value).sort();
  const half = Math.floor(rests.length / 2);
  return rests.length % 2 ? rests[half] : (rests[half - 1] + rests[half]) / 2;
}
