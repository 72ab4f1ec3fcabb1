import { useSyncExternalStore } from 'react';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import { type ArchAccount, archAccount, recordMeasures } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { SurfaceSeparation } from '../../core/marks/surfaceSeparations.ts';
import type { ArchLine, ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import { withSurfaceSeparations } from '../../core/measure/contactMeasures.ts';
import { useStore } from '../store.ts';
import { onSeparations, separationsVersion, surfaceSeparationsOf } from './surfaceSeparations.ts';

type Result<T> =
  | { readonly value: T; readonly refusal: null }
  | { readonly value: null; readonly refusal: Refusal };

const measured = sharedWhileSame<ArchRecord, Result<ArchMeasures>>(
  ['jaw', 'frame', 'readings', 'activeReading', 'chart', 'form', 'markSdMm', 'medianEdgeMm'],
  (record) => attempt(() => recordMeasures(record, undefined, [])),
);
const accounts = new WeakMap<ArchRecord, { opposing: ArchMeasures | null; account: ArchAccount }>();
const lastAccount: Partial<
  Record<Jaw, { record: ArchRecord; opposing: ArchMeasures | null; account: ArchAccount }>
> = {};

/**
 * Measures of a record with its chosen arch form alone, computed once for each version of it: a moved mark must be
 * answered within a frame. Marks that contradict each other are refused.
 */
const measuresOf = (record: ArchRecord): Result<ArchMeasures> => measured(record);

const everyForm = sharedWhileSame<ArchRecord, Result<ArchMeasures>>(
  ['jaw', 'frame', 'readings', 'activeReading', 'chart', 'markSdMm', 'medianEdgeMm'],
  (record) => attempt(() => recordMeasures(record)),
);

/** Measures with the arch line in every form that could be fitted; dearer than everything else together. */
const measuresOfEveryForm = (record: ArchRecord): ArchMeasures | null => everyForm(record).value;

/** The arch line of a record in every form that could be fitted. */
export const everyLineOf = (record: ArchRecord): readonly ArchLine[] =>
  measuresOfEveryForm(record)?.lines ?? [];

const isSame = <T extends object>(a: T, b: T, fields: readonly (keyof T)[]): boolean =>
  fields.every((field) => Object.is(a[field], b[field]));

/** A function computed once for each version of a record, and shared with the versions that differ in other fields. */
function sharedWhileSame<T extends object, R>(
  fields: readonly (keyof T)[],
  work: (value: T) => R,
): (value: T) => R {
  const known = new WeakMap<T, R>();
  const recent: { readonly value: T; readonly result: R }[] = [];
  return (value) => {
    const own = known.get(value);
    if (own !== undefined) return own;
    const alike = recent.find((entry) => isSame(entry.value, value, fields));
    const result = alike ? alike.result : work(value);
    known.set(value, result);
    if (!alike) {
      recent.unshift({ value, result });
      recent.length = Math.min(recent.length, RECENT);
    }
    return result;
  };
}

/** Versions kept for sharing: those of two arches, and one before each for a step of undo. */
const RECENT = 4;

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
  const account = markedAccountOf(record, opposing);
  return account && withSurface(account, surfaceSeparationsOf(record));
}

const onSurface = new WeakMap<ArchAccount, { found: readonly SurfaceSeparation[]; account: ArchAccount }>();

/** The account with separations measured on the surface: the same as when they are measured before all else. */
function withSurface(account: ArchAccount, found: readonly SurfaceSeparation[]): ArchAccount {
  if (found.length === 0) return account;
  const known = onSurface.get(account);
  if (known?.found === found) return known.account;
  const { measures } = account;
  const contacts = withSurfaceSeparations(measures.contacts, found);
  const full = { ...account, measures: { ...measures, contacts } };
  onSurface.set(account, { found, account: full });
  return full;
}

/** The account by the marks alone. */
function markedAccountOf(record: ArchRecord, opposing: ArchRecord | null): ArchAccount | null {
  const { value: measures } = measuresOf(record);
  if (!measures) return null;
  const opposingMeasures = opposing ? measuresOf(opposing).value : null;
  const known = accounts.get(record);
  if (known && known.opposing === opposingMeasures) return known.account;
  const last = lastAccount[record.jaw];
  const account =
    last && last.opposing === opposingMeasures && isSame(record, last.record, OF_THE_ACCOUNT)
      ? last.account
      : archAccount(record, measures, opposingMeasures);
  accounts.set(record, { opposing: opposingMeasures, account });
  lastAccount[record.jaw] = { record, opposing: opposingMeasures, account };
  return account;
}

/** What an account is made of beside the measures and the opposing arch; the user's own tenths change none of it. */
const OF_THE_ACCOUNT = [
  'jaw',
  'frame',
  'readings',
  'activeReading',
  'chart',
  'form',
  'markSdMm',
  'medianEdgeMm',
  'perimeter',
  'prediction',
  'allowances',
  'plan',
] as const satisfies readonly (keyof ArchRecord)[];

/** The account of a jaw; null while no scan was opened for it or its marks are refused. */
export function useArchAccount(jaw: Jaw): ArchAccount | null {
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  useStore((state) => record && state.scans[record.scan.sha256]);
  useSyncExternalStore(onSeparations, separationsVersion);
  const opposing = useStore((state) => state.caseDocument.arches[jaw === 'upper' ? 'lower' : 'upper']);
  return record ? archAccountOf(record, opposing) : null;
}

/** Why the marks of a jaw cannot be measured; null when they can. */
export function useMarksRefusal(jaw: Jaw): Refusal | null {
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  return record ? measuresOf(record).refusal : null;
}
