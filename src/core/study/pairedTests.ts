import { Refusal } from '../base/refusal.ts';
import { studentProbability, studentQuantile } from '../base/studentDistribution.ts';
import { limitsOfAgreement } from './limitsOfAgreement.ts';
import { type Interval, noVariation } from './pairs.ts';

export interface PairedT {
  readonly t: number;
  readonly df: number;
  readonly p: number; // two-sided
}

/**
 * Paired t test of no bias.
 * Refuses: 'too-few-pairs' (n < 2), 'number-invalid', 'no-variation' (every difference the same).
 */
export function pairedT(a: readonly number[], b: readonly number[]): PairedT {
  const { bias, biasSe, n } = limitsOfAgreement(a, b);
  if (biasSe === 0) throw noVariation('pairedT', 'every difference is the same');
  const t = bias / biasSe;
  return { t, df: n - 1, p: 2 * studentProbability(-Math.abs(t), n - 1) };
}

export interface Equivalence {
  readonly limit: number;
  readonly p: number; // the larger of the two one-sided tests
  readonly biasCi90: Interval;
  readonly isEquivalent: boolean; // at 5 %: the 90 % interval of the bias lies within ± limit
  readonly areLimitsWithin: boolean; // the limits of agreement too
  readonly areLimitsCiWithin: boolean; // and their intervals
}

/**
 * Two one-sided tests: is the bias within ± the acceptance limit? The limits of agreement are held against the same
 * limit, because a small bias says nothing of a single tooth.
 *
 * Units:    those of the columns.
 * Refuses:  as `pairedT`; 'field-invalid' (a limit not above 0).
 * Source:   Schuirmann DJ, J Pharmacokinet Biopharm 1987;15:657–680 (from memory, unverified).
 */
export function equivalence(a: readonly number[], b: readonly number[], limit: number): Equivalence {
  if (!(limit > 0 && Number.isFinite(limit)))
    throw new Refusal(
      'field-invalid',
      `equivalence: the acceptance limit is no such limit; got ${limit}, need a number above 0. Correct it.`,
    );
  const { bias, biasSe, n, limits, limitsCi } = limitsOfAgreement(a, b);
  if (biasSe === 0) throw noVariation('equivalence', 'every difference is the same');
  const above = studentProbability(-(bias + limit) / biasSe, n - 1);
  const below = studentProbability((bias - limit) / biasSe, n - 1);
  const half = studentQuantile(0.95, n - 1) * biasSe;
  const p = Math.max(above, below);
  return {
    limit,
    p,
    biasCi90: [bias - half, bias + half],
    isEquivalent: p < 0.05,
    areLimitsWithin: limits[0] >= -limit && limits[1] <= limit,
    areLimitsCiWithin: limitsCi[0][0] >= -limit && limitsCi[1][1] <= limit,
  };
}
