import type { Source } from '../base/Source.ts';
import type { Jaw, Tooth } from '../base/tooth.ts';

/**
 * One line of the space account. `amountMm` is signed: what adds space is positive, what needs space
 * negative, so the lines add up to the balance. Null where something is missing; `missing` then says what.
 */
export interface LedgerEntry {
  readonly id: string; // stable, e.g. 'arch-line', 'widths', 'spee'
  readonly what: string;
  readonly amountMm: number | null;
  readonly sdMm: number | null;
  readonly source: Source;
  readonly editable: boolean;
  readonly missing: string | null;
  readonly evidenceTeeth: readonly Tooth[]; // teeth whose marks this entry rests on
  readonly note: string | null; // what the source leaves open, or contradicts
  /** Part of the balance's variance this entry answers for, correlations included; parts add up to 1. */
  readonly varianceShare: number | null;
}

/** Space account of one arch. `differenceMm` = available − required, adjusted; negative is a shortage. */
export interface Ledger {
  readonly jaw: Jaw;
  readonly entries: readonly LedgerEntry[];
  readonly availableMm: number | null;
  readonly requiredMm: number | null;
  readonly differenceMm: number | null;
  readonly sdMm: number | null; // of the difference, correlations included
  readonly missing: readonly string[];
}

/** How the space available is measured. */
export type PerimeterMethod = 'line' | 'four-segments' | 'six-segments';

/** How widths of unerupted canines and premolars are predicted; ids in space/predictedWidths.ts. */
export type WidthPrediction =
  | { readonly method: 'moyers'; readonly percentile: number } // 5 to 95
  | { readonly method: 'regression'; readonly id: string }
  | { readonly method: 'antimere' };

/** Levels the table prints; between two of them a percentile is interpolated. */
export type MoyersPercentile = 5 | 15 | 25 | 50 | 65 | 75 | 95;

export type AllowanceKind =
  | 'spee'
  | 'incisor-position'
  | 'incisor-inclination'
  | 'arch-width'
  | 'molar-movement'
  | 'extraction'
  | 'other';

/** An allowance the user has chosen: by a published rule from measured or typed inputs, or a figure of their own. */
export interface Allowance {
  readonly kind: AllowanceKind;
  readonly rule: string; // id of a rule in space/allowanceRules.ts, or 'own'
  readonly inputs: Readonly<Record<string, number>>;
  readonly ownMm?: number;
  readonly ownSdMm?: number; // of the own figure, or the user's SD for what a rule gives
}

/** Tooth-size ratio (Bolton 1958), percent. */
export interface ToothSizeRatio {
  readonly kind: 'overall' | 'anterior';
  readonly percent: number | null;
  readonly sdPercent: number | null; // from measuring error
  readonly zScore: number | null; // against the norm's mean and SD
  readonly lowerExcessMm: number | null; // too much tooth in the lower arch if the upper is right
  readonly upperExcessMm: number | null;
  readonly lowerExcessSdMm: number | null; // from measuring error
  readonly upperExcessSdMm: number | null;
  readonly chanceOutside: number | null; // that the true ratio is beyond the norm's mean ± 2 SD, given the measuring error
  readonly missing: readonly Tooth[];
  readonly source: Source;
}
