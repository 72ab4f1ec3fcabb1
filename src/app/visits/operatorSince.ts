import { z } from 'zod';
import { create } from 'zustand';
import type { CaseDocument } from '../../core/casefile/CaseDocument.ts';
import { type OperatorCut, operatorCuts } from '../../core/visits/operatorRecord.ts';
import { keptDocuments } from '../files/session.ts';
import { remember, remembered } from '../storage/pageMemory.ts';
import { useStore } from '../store.ts';

/** Cuts on record, as they were read last; what forecasts of the visits rest on. */
export const useOperatorCuts = create<{ readonly cuts: readonly OperatorCut[] }>()(() => ({ cuts: [] }));

const SINCE_KEY = 'archledger.operatorSince';

/** Where the record was begun anew; entries recorded before it no longer count. */
export function operatorSince(): string | null {
  const since = remembered(SINCE_KEY);
  return since !== null && z.iso.datetime().safeParse(since).success ? since : null;
}

/** Begins the record anew; false where this browser keeps nothing. */
export const beginOperatorRecord = (): boolean => remember(SINCE_KEY, new Date().toISOString());

/** Cuts of a case recorded since a time, both jaws. */
function cutsOfCase({ arches }: CaseDocument, since: string | null): readonly OperatorCut[] {
  return [arches.upper, arches.lower].flatMap((record) => {
    if (!record) return [];
    const entries = (record.visits ?? []).filter((entry) => since === null || entry.recordedAt > since);
    const last = (record.followUps ?? []).filter(({ measure }) => measure !== null).at(-1);
    return operatorCuts(
      entries,
      last?.measure ? { measure: last.measure, afterVisit: last.afterVisit } : null,
    );
  });
}

/** Cuts of every case kept in this browser, the one at hand as it stands on the page. */
export async function cutsOnThisMachine(): Promise<readonly OperatorCut[]> {
  const atHand = useStore.getState().caseDocument;
  const kept = (await keptDocuments()).filter((document) => document.id !== atHand.id);
  return [...kept, atHand].flatMap((document) => cutsOfCase(document, operatorSince()));
}
