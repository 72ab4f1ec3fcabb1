import { Refusal } from '../base/refusal.ts';
import type { ArchForm, ArchMeasures, Estimate } from '../measure/ArchMeasures.ts';
import type { PerimeterMethod } from '../space/Ledger.ts';
import { spaceLedger } from '../space/spaceLedger.ts';
import { recordMeasures } from './archAccount.ts';
import type { ArchRecord } from './CaseDocument.ts';

/** A way of measuring the space available, with the balance it leads to. Units: mm. */
export interface PerimeterChoice {
  readonly perimeter: PerimeterMethod;
  readonly form: ArchForm | null; // of the arch line; null for segments
  readonly available: Estimate | null; // null where it cannot be had
  readonly balanceMm: number | null;
  readonly balanceSdMm: number | null; // correlations of this way included
  readonly isChosen: boolean;
  readonly differenceMm: number | null; // of the balance from the chosen one's
}

const FORMS: readonly ArchForm[] = ['spline', 'polynomial4', 'polynomial6', 'beta', 'catenary', 'conic'];

/**
 * The balance of an arch by every form of the arch line and both ways of segments, all else as the record has it.
 *
 * Units:    mm; negative is a shortage.
 * Accuracy: each row is what the account gives once that choice is made — tests/core/casefile/perimeterChoices.test.ts.
 * Time:     six fits of the arch line; not for every frame of a drag.
 */
export function perimeterChoices(
  record: ArchRecord,
  opposing: ArchMeasures | null,
): readonly PerimeterChoice[] {
  const { chart, allowances, prediction } = record;
  const rows = [
    ...FORMS.map((form) => ({ perimeter: 'line' as const, form })),
    { perimeter: 'four-segments' as const, form: null },
    { perimeter: 'six-segments' as const, form: null },
  ].map(({ perimeter, form }) => {
    const measures = measuresOrNull(form ? { ...record, form } : record);
    // A form that could not be fitted falls back to another one; that is no row of its own.
    const isOwn = measures !== null && (form === null || measures.line?.form === form);
    const ledger = isOwn
      ? spaceLedger({ measures, chart, perimeter, allowances, prediction, opposing })
      : null;
    const entry = ledger?.entries[0];
    return {
      perimeter,
      form,
      available: entry && entry.amountMm !== null ? { valueMm: entry.amountMm, sdMm: entry.sdMm ?? 0 } : null,
      balanceMm: ledger?.differenceMm ?? null,
      balanceSdMm: ledger?.sdMm ?? null,
      isChosen: record.perimeter === perimeter && (form === null || form === record.form),
    };
  });
  const chosenMm = rows.find(({ isChosen }) => isChosen)?.balanceMm ?? null;
  return rows.map((row) => ({
    ...row,
    differenceMm: row.balanceMm === null || chosenMm === null ? null : row.balanceMm - chosenMm,
  }));
}

function measuresOrNull(record: ArchRecord): ArchMeasures | null {
  try {
    return recordMeasures(record, undefined, []);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return null;
  }
}
