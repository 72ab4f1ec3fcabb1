import { checkPairs } from './pairs.ts';
import { mean, stableSum } from './sums.ts';

/**
 * Dahlberg's error of one measurement from pairs, √(Σd² / 2n); the technical error of measurement is the same
 * figure under another name. A bias between the columns is counted in.
 *
 * Shape:    n ≥ 1 pair.
 * Units:    those of the columns.
 * Refuses:  'too-few-pairs', 'number-invalid'.
 * Source:   Dahlberg G, Statistical Methods for Medical and Biological Students, 1940; Ulijaszek SJ, Kerr DA, Br J
 *           Nutr 1999;82:165–177 (from memory, unverified).
 */
export function dahlbergError(a: readonly number[], b: readonly number[]): number {
  checkPairs('dahlbergError', a, b, 1);
  return Math.sqrt(stableSum(a.map((value, i) => (value - b[i]) ** 2)) / (2 * a.length));
}

/**
 * Technical error as a share of the mean of all values, the within-subject coefficient of variation of pairs.
 *
 * Units:    percent.
 * Refuses:  as `dahlbergError`.
 * Source:   Ulijaszek SJ, Kerr DA, Br J Nutr 1999;82:165–177 (from memory, unverified).
 */
export function technicalErrorPercent(a: readonly number[], b: readonly number[]): number {
  return (100 * dahlbergError(a, b)) / mean([...a, ...b]);
}

/**
 * Coefficient of variation within pairs by the root mean square of each pair's own: √(mean of d²/2m²), m the
 * pair's mean. Unlike `technicalErrorPercent` it lets the error grow with the size.
 *
 * Units:    percent.
 * Refuses:  as `dahlbergError`.
 * Source:   Bland JM, Altman DG, BMJ 1996;313:106 gives the logarithmic form; this is the root mean square form
 *           (common practice, no source).
 */
export function coefficientOfVariationPercent(a: readonly number[], b: readonly number[]): number {
  checkPairs('coefficientOfVariationPercent', a, b, 1);
  const squares = a.map((value, i) => (2 * (value - b[i]) ** 2) / (value + b[i]) ** 2);
  return 100 * Math.sqrt(mean(squares));
}

/**
 * Coefficient of reliability R = 1 − TEM²/SD², SD that of all values with n − 1.
 * Refuses: as `dahlbergError`.
 * Source: Ulijaszek SJ, Kerr DA, Br J Nutr 1999;82:165–177 (from memory, unverified; formula secondary).
 */
export function reliabilityRatio(a: readonly number[], b: readonly number[]): number {
  const all = [...a, ...b];
  const middle = mean(all);
  const squares = stableSum(all.map((value) => (value - middle) ** 2));
  return 1 - (dahlbergError(a, b) ** 2 * (all.length - 1)) / squares;
}
