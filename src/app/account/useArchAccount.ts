import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import { type ArchAccount, archAccount, recordMeasures } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchLine, ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import { useStore } from '../store.ts';

type Result<T> =
  | { readonly value: T; readonly refusal: null }
  | { readonly value: null; readonly refusal: Refusal };

const measured = new WeakMap<ArchRecord, Result<ArchMeasures>>();
const accounts = new WeakMap<ArchRecord, { opposing: ArchMeasures | null; account: ArchAccount }>();

/**
 * Measures of a record with its chosen arch form alone, computed once for each version of it: a moved mark must be
 * answered within a frame. Marks that contradict each other are refused.
 */
function measuresOf(record: ArchRecord): Result<ArchMeasures> {
  const known = measured.get(record);
  if (known) return known;
  const result = attempt(() => recordMeasures(record, undefined, []));
  measured.set(record, result);
  return result;
}

const everyForm = new WeakMap<ArchRecord, readonly ArchLine[]>();

/** The arch line of a record in every form that could be fitted; dearer than everything else together. */
export function everyLineOf(record: ArchRecord): readonly ArchLine[] {
  const known = everyForm.get(record);
  if (known) return known;
  const lines = attempt(() => recordMeasures(record)).value?.lines ?? [];
  everyForm.set(record, lines);
  return lines;
}

function attempt<T>(work: () => T): Result<T> {
  try {
    return { value: work(), refusal: null };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { value: null, refusal: error };
  }
}

/** The account of a record, computed once for each version of it; null where its marks are refused. */
export function archAccountOf(record: ArchRecord, opposing: ArchRecord | null): ArchAccount | null {
  const { value: measures } = measuresOf(record);
  if (!measures) return null;
  const opposingMeasures = opposing ? measuresOf(opposing).value : null;
  const known = accounts.get(record);
  if (known && known.opposing === opposingMeasures) return known.account;
  const account = archAccount(record, measures, opposingMeasures);
  accounts.set(record, { opposing: opposingMeasures, account });
  return account;
}

/** The account of a jaw; null while no scan was opened for it or its marks are refused. */
export function useArchAccount(jaw: Jaw): ArchAccount | null {
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const opposing = useStore((state) => state.caseDocument.arches[jaw === 'upper' ? 'lower' : 'upper']);
  return record ? archAccountOf(record, opposing) : null;
}

/** Why the marks of a jaw cannot be measured; null when they can. */
export function useMarksRefusal(jaw: Jaw): Refusal | null {
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  return record ? measuresOf(record).refusal : null;
}
