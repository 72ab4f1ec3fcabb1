import { normalQuantile } from '../base/normalDistribution.ts';
import { checkPairs, checkVaries, type FigureEstimate, UPPER_TAIL } from './pairs.ts';
import { sumOfProducts, sumOfSquares } from './sums.ts';

/**
 * Pearson's correlation, with Fisher's interval from n = 4. It says whether columns rise together, not whether
 * they agree.
 *
 * Refuses:  'too-few-pairs' (n < 2), 'number-invalid', 'no-variation'.
 * Source:   Fisher RA, Metron 1921;1:3–32 (from memory, unverified).
 */
export function pearson(a: readonly number[], b: readonly number[]): FigureEstimate {
  checkPairs('pearson', a, b, 2);
  checkVaries('pearson', a, b);
  const exact = sumOfProducts(a, b) / Math.sqrt(sumOfSquares(a)) / Math.sqrt(sumOfSquares(b));
  const value = Math.max(-1, Math.min(1, exact));
  if (a.length < 4 || Math.abs(value) === 1) return { value, ci: null };
  const half = normalQuantile(UPPER_TAIL) / Math.sqrt(a.length - 3);
  const z = Math.atanh(value);
  return { value, ci: [Math.tanh(z - half), Math.tanh(z + half)] };
}
