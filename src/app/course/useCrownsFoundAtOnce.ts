import { useEffect } from 'react';
import type { Jaw } from '../../core/base/tooth.ts';
import { useRunningLesson } from '../lessons/useRunningLesson.ts';
import { useProposal } from '../proposal/proposalStore.ts';
import { proposeOnScan } from '../proposal/proposeOnScan.ts';
import { isBlinded } from '../state/archEdits.ts';
import { useArch, useScanOf } from '../store.ts';
import { useFoundCrowns } from './surfaceRuns.ts';

/** Up to this size crowns are told apart in a few seconds; a larger scan waits for the button. */
const AT_ONCE_TRIANGLES = 400_000;

/** Scans that were tried since the page was opened: what was cancelled or refused is not tried again by itself. */
const tried = new Set<string>();

/** Finds the crowns of a jaw without being asked, once for each scan. No mark is touched. */
export function useCrownsFoundAtOnce(jaw: Jaw): void {
  const record = useArch(jaw);
  const scan = useScanOf(jaw);
  const crowns = useFoundCrowns(jaw);
  const lesson = useRunningLesson(jaw);
  const { working, refusal } = useProposal(jaw);
  const sha256 = scan?.facts.sha256 ?? null;
  const isWanted =
    record !== null &&
    scan !== null &&
    crowns === null &&
    lesson === null &&
    working === null &&
    refusal === null &&
    !isBlinded(record) &&
    scan.facts.triangles <= AT_ONCE_TRIANGLES;
  useEffect(() => {
    if (!isWanted || sha256 === null || tried.has(sha256)) return;
    tried.add(sha256);
    void proposeOnScan(jaw, true);
  }, [jaw, isWanted, sha256]);
}
