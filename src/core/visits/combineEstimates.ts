import type { Estimate } from '../measure/ArchMeasures.ts';

/** Several estimates of one length as one. */
export interface Combined extends Estimate {
  /** Scatter of the estimates against their SDs; above 1 they differ by more than they should. */
  readonly birgeRatio: number;
}

/**
 * The inverse-variance mean. Where the estimates differ by more than their SDs allow, the SD is widened by as much
 * (Birge ratio), so that a contradiction never looks like certainty. Null for none; an SD of 0 stands for itself.
 *
 * Units:    mm.
 * Source:   weighted mean, and Birge RT, Phys Rev 1932;40:207–227 (from memory, unverified).
 */
export function combineEstimates(estimates: readonly (Estimate | null)[]): Combined | null {
  const given = estimates.filter((estimate) => estimate !== null);
  if (given.length === 0) return null;
  const exact = given.filter(({ sdMm }) => sdMm === 0);
  if (exact.length > 0)
    return {
      valueMm: exact.reduce((sum, { valueMm }) => sum + valueMm, 0) / exact.length,
      sdMm: 0,
      birgeRatio: 0,
    };
  const weights = given.map(({ sdMm }) => 1 / sdMm ** 2);
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const valueMm = given.reduce((sum, estimate, i) => sum + estimate.valueMm * weights[i], 0) / total;
  const scatter = given.reduce((sum, estimate, i) => sum + weights[i] * (estimate.valueMm - valueMm) ** 2, 0);
  const birgeRatio = given.length > 1 ? Math.sqrt(scatter / (given.length - 1)) : 0;
  return { valueMm, sdMm: Math.max(1, birgeRatio) / Math.sqrt(total), birgeRatio };
}
