import { normalQuantile } from '../base/normalDistribution.ts';
import { Refusal } from '../base/refusal.ts';
import { studentQuantile } from '../base/studentDistribution.ts';
import { UPPER_TAIL } from './pairs.ts';

const MOST_PAIRS = 10_000_000;

/**
 * Least number of pairs for which the 95 % interval of the bias is expected to reach no further than `halfWidth`.
 * Units: as the SD of the differences. Refuses: 'field-invalid'.
 */
export const pairsForBias = (sd: number, halfWidth: number): number =>
  leastPairs('pairsForBias', sd, halfWidth, (n) => Math.sqrt(1 / n));

/**
 * The same for each limit of agreement. Units and refusals as `pairsForBias`.
 * Source: Bland JM, Altman DG, Stat Methods Med Res 1999;8:135–160, the limit's standard error (secondary).
 */
export const pairsForLimits = (sd: number, halfWidth: number): number =>
  leastPairs('pairsForLimits', sd, halfWidth, (n) => Math.sqrt(1 / n + 1.96 ** 2 / (2 * (n - 1))));

function leastPairs(where: string, sd: number, halfWidth: number, seInSd: (n: number) => number): number {
  checkAboveZero(where, 'SD', sd);
  checkAboveZero(where, 'half width', halfWidth);
  const isEnough = (n: number): boolean => studentQuantile(UPPER_TAIL, n - 1) * sd * seInSd(n) <= halfWidth;
  let high = 2;
  while (!isEnough(high)) {
    high *= 2;
    if (high > MOST_PAIRS)
      throw new Refusal(
        'field-invalid',
        `${where}: the interval wanted is too narrow; got a half width of ${halfWidth} for an SD of ${sd}, need one that ten million pairs can give. Ask for a wider one.`,
      );
  }
  let low = 1;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (middle >= 2 && isEnough(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/**
 * Number of subjects for which the 95 % interval of an intraclass correlation is about `width` wide in all, k ratings
 * of each.
 *
 * Refuses:  'field-invalid'.
 * Source:   Bonett DG, Stat Med 2002;21:1331–1335 (from memory, unverified).
 */
export function subjectsForIntraclass(icc: number, ratings: number, width: number): number {
  if (!(icc >= 0 && icc < 1) || !(Number.isInteger(ratings) && ratings >= 2))
    throw new Refusal(
      'field-invalid',
      `subjectsForIntraclass: no such study; got a correlation of ${icc} and ${ratings} ratings, need 0 to below 1 and at least 2. Correct them.`,
    );
  checkAboveZero('subjectsForIntraclass', 'width', width);
  const z = normalQuantile(UPPER_TAIL);
  const spread = (1 - icc) * (1 + (ratings - 1) * icc);
  return Math.ceil((8 * z ** 2 * spread ** 2) / (ratings * (ratings - 1) * width ** 2) + 1);
}

function checkAboveZero(where: string, what: string, value: number): void {
  if (!(value > 0 && Number.isFinite(value)))
    throw new Refusal(
      'field-invalid',
      `${where}: the ${what} is out of range; got ${value}, need a number above 0. Correct it.`,
    );
}
