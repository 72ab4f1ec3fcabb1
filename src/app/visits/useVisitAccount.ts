import { useMemo } from 'react';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import {
  type AgreedPlan,
  type FollowUpAccount,
  followUpAccount,
  type VisitAccount,
  visitAccount,
} from '../../core/casefile/visitAccount.ts';
import type { CutEntry } from '../../core/visits/CutEntry.ts';
import type { FollowUpRecord } from '../../core/visits/FollowUpRecord.ts';
import { dueInVisit } from '../../core/visits/restOfPlan.ts';
import { archAccountOf } from '../account/useArchAccount.ts';
import { plannedAmountsOf, usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { useStore } from '../store.ts';

const seen = new WeakMap<FollowUpRecord, { record: ArchRecord; found: FollowUpAccount }>();

/** What of an arch record a follow-up's account rests on. */
const OF_THE_FOLLOW_UP = ['chart', 'form', 'perimeter', 'markSdMm', 'prediction', 'allowances'] as const;

/** A follow-up's account, computed once while neither it nor the settings it is measured by change. */
export function followUpOf(record: ArchRecord, followUp: FollowUpRecord): FollowUpAccount {
  const known = seen.get(followUp);
  if (known && OF_THE_FOLLOW_UP.every((field) => Object.is(known.record[field], record[field])))
    return known.found;
  let found: FollowUpAccount;
  try {
    found = followUpAccount(record, followUp);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    // Marks that contradict each other: the scan still says what its surfaces say.
    found = followUpAccount(record, { ...followUp, marks: [] });
  }
  seen.set(followUp, { record, found });
  return found;
}

const followUpsOf = (record: ArchRecord): readonly FollowUpAccount[] =>
  (record.followUps ?? []).map((followUp) => followUpOf(record, followUp));

function accountOf(
  record: ArchRecord | null,
  opposing: ArchRecord | null,
  agreed: AgreedPlan | null,
): VisitAccount | null {
  const account = record && archAccountOf(record, opposing);
  if (!record || !account || !agreed) return null;
  return visitAccount(record, agreed, followUpsOf(record), account.measures);
}

/** Visits and follow-up scans of a jaw, balanced; null while there is no plan to hold them against. */
export function useVisitAccount(jaw: Jaw): VisitAccount | null {
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const opposing = useStore((state) => state.caseDocument.arches[jaw === 'upper' ? 'lower' : 'upper']);
  const agreed = usePlannedAmounts(jaw);
  return useMemo(() => accountOf(record, opposing, agreed), [record, opposing, agreed]);
}

/** What was due at each contact in a visit, by the plan in force before it: what later visits brought is left out. */
export interface DueInVisit {
  readonly visit: number;
  readonly account: VisitAccount;
  readonly due: ReadonlyMap<string, number>; // by contact key; without held-back tenths
  readonly heldBack: ReadonlyMap<string, number>;
  readonly dueMm: number;
}

export function dueBefore(jaw: Jaw, visit: number): DueInVisit | null {
  const { arches } = useStore.getState().caseDocument;
  const record = arches[jaw];
  if (!record) return null;
  const before: ArchRecord = {
    ...record,
    visits: entriesBefore(record.visits ?? [], visit),
    followUps: (record.followUps ?? []).filter((followUp) => followUp.afterVisit < visit),
  };
  const agreed = plannedAmountsOf(jaw);
  const account = archAccountOf(record, arches[jaw === 'upper' ? 'lower' : 'upper']);
  if (!agreed || !account) return null;
  const found = visitAccount(before, agreed, followUpsOf(before), account.measures);
  const { rest } = found.balance;
  // A visit no entry was made for leaves its amounts to the next one.
  const at = Math.max(1, visit - rest.nextVisit + 1);
  const due = new Map<string, number>();
  const heldBack = new Map<string, number>();
  let dueMm = 0;
  for (const contact of rest.plan.contacts) {
    const key = contact.teeth.join('-');
    const amount = contact.byVisitMm.slice(0, at).reduce((sum, _, i) => sum + dueInVisit(contact, i + 1), 0);
    due.set(key, amount);
    heldBack.set(key, contact.heldBackMm);
    dueMm += amount;
  }
  return { visit, account: found, due, heldBack, dueMm };
}

const entriesBefore = (entries: readonly CutEntry[], visit: number): readonly CutEntry[] =>
  entries.filter((entry) => entry.visit < visit);
