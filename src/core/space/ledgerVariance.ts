import type { Tooth } from '../base/tooth.ts';

/** How an entry hangs on what errs: factors of arch length and widths, and an error of its own. */
export interface Dependence {
  readonly perimeter: number;
  readonly widths: ReadonlyMap<Tooth, number>;
  readonly ownSdMm: number; // shared with no other entry
}

/** Errors behind the entries. Widths are independent of each other: two widths share no mark. */
export interface Errors {
  readonly widthSdMm: (tooth: Tooth) => number;
  readonly perimeterSdMm: number;
  readonly covarianceMm2: (tooth: Tooth) => number; // of the arch length and a width
}

export interface SharedVariance {
  readonly varianceOf: readonly number[]; // of each entry alone, mm²
  readonly partOf: readonly number[]; // covariance of each entry with the sum, mm²; adds up to the total
  readonly totalVariance: number; // of the sum, mm²
}

/** Variance of each entry and of their sum, first order. Units: mm in, mm² out. */
export function sharedVariance(entries: readonly Dependence[], errors: Errors): SharedVariance {
  const partOf = entries.map((a) => entries.reduce((sum, b) => sum + covariance(a, b, errors), 0));
  return {
    varianceOf: entries.map((a) => Math.max(0, covariance(a, a, errors))),
    partOf,
    totalVariance: Math.max(
      0,
      partOf.reduce((sum, part) => sum + part, 0),
    ),
  };
}

function covariance(a: Dependence, b: Dependence, errors: Errors): number {
  let sum = a === b ? a.ownSdMm ** 2 : 0;
  sum += a.perimeter * b.perimeter * errors.perimeterSdMm ** 2;
  for (const [tooth, factor] of a.widths) {
    sum += factor * (b.widths.get(tooth) ?? 0) * errors.widthSdMm(tooth) ** 2;
    sum += factor * b.perimeter * errors.covarianceMm2(tooth);
  }
  for (const [tooth, factor] of b.widths) sum += factor * a.perimeter * errors.covarianceMm2(tooth);
  return sum;
}
