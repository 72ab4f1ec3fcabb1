import { Refusal } from '../base/refusal.ts';
import type { Jaw } from '../base/tooth.ts';
import type { ArchMeasures, MeasureInput } from '../measure/ArchMeasures.ts';
import { measureArch } from '../measure/measureArch.ts';
import { type BuiltRequest, reductionRequest } from '../reduction/reductionRequest.ts';
import type { Ledger, ToothSizeRatio } from '../space/Ledger.ts';
import { spaceLedger } from '../space/spaceLedger.ts';
import { TOOTH_SIZE_NORMS, toothSizeNorm } from '../space/toothSizeNorms.ts';
import { toothSizeRatios } from '../space/toothSizeRatios.ts';
import type { ArchRecord, CaseDocument } from './CaseDocument.ts';
import { presentTeeth } from './presentTeeth.ts';

/** Everything that follows from one arch record, but for the plan: `planReduction(account.asked.request)`. */
export interface ArchAccount {
  readonly jaw: Jaw;
  readonly measures: ArchMeasures;
  readonly ledger: Ledger;
  /** What a plan is asked for; null while the space needed is not known. */
  readonly asked: BuiltRequest | null;
  /** Why nothing can be asked yet; null when it can. */
  readonly notAsked: Refusal | null;
}

export type SurfaceSeparations = MeasureInput['surfaceSeparations'];

/**
 * Measures of an arch record's active reading. `surfaceSeparations` come from the mesh where it is at hand;
 * without the scan a case still gives every number, separations then from the marks. `forms`: see `MeasureInput`.
 * Refuses: as `measureArch`.
 */
export function recordMeasures(
  record: ArchRecord,
  surfaceSeparations?: SurfaceSeparations,
  forms?: MeasureInput['forms'],
): ArchMeasures {
  const { jaw, frame, chart, form, markSdMm, medianEdgeMm } = record;
  return measureArch({
    jaw,
    frame,
    marks: record.readings[record.activeReading].marks,
    missing: [...chart.missing, ...chart.unerupted],
    enteredWidths: chart.enteredWidths,
    form,
    forms,
    markSdMm,
    medianEdgeMm,
    surfaceSeparations,
  });
}

/**
 * The one way from an arch record to its numbers: measures, space account, reduction request. Screen, print and
 * command line all take it, so they show the same.
 *
 * Units:    mm.
 * Refuses:  as `measureArch` (marks that contradict each other); an incomplete account is a result, `notAsked`.
 */
export function archAccount(
  record: ArchRecord,
  measures: ArchMeasures = recordMeasures(record),
  opposing: ArchMeasures | null = null,
): ArchAccount {
  const { jaw, chart, perimeter, prediction, allowances, plan } = record;
  const ledger = spaceLedger({ measures, chart, perimeter, allowances, prediction, opposing });
  const asking = { jaw, ledger, settings: plan, present: presentTeeth(record) };
  try {
    return { jaw, measures, ledger, asked: reductionRequest(asking), notAsked: null };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { jaw, measures, ledger, asked: null, notAsked: error };
  }
}

/** Accounts of both arches of a case, each lending the other what it needs, and their tooth-size ratios. */
export interface CaseAccount {
  readonly upper: ArchAccount | null;
  readonly lower: ArchAccount | null;
  readonly ratios: { readonly overall: ToothSizeRatio; readonly anterior: ToothSizeRatio } | null; // null with one arch
}

/** Refuses: as `measureArch`. */
export function caseAccount(
  document: CaseDocument,
  surfaceSeparations: Partial<Record<Jaw, SurfaceSeparations>> = {},
): CaseAccount {
  const { upper, lower } = document.arches;
  const upperMeasures = upper && recordMeasures(upper, surfaceSeparations.upper);
  const lowerMeasures = lower && recordMeasures(lower, surfaceSeparations.lower);
  return {
    upper: upper && upperMeasures && archAccount(upper, upperMeasures, lowerMeasures),
    lower: lower && lowerMeasures && archAccount(lower, lowerMeasures, upperMeasures),
    ratios:
      upperMeasures && lowerMeasures
        ? toothSizeRatios({
            upper: upperMeasures.teeth,
            lower: lowerMeasures.teeth,
            norm: toothSizeNorm(document.ratioNorm) ?? TOOTH_SIZE_NORMS[0],
          })
        : null,
  };
}
