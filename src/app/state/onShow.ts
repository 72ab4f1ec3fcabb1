import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import type { FollowUpRecord } from '../../core/visits/FollowUpRecord.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import type { LoadedScanOnPage } from '../LoadedScanOnPage.ts';
import { useStore } from '../store.ts';
import { followUpOf } from '../visits/useVisitAccount.ts';
import { followUpOnShow, shownArch } from './shownArch.ts';

/** The arch of a jaw as it stands in the 3D view: the first scan with its marks, or the later one on show. */
export const shownArchOf = (jaw: Jaw, { caseDocument, ui } = useStore.getState()): ArchRecord | null => {
  const record = caseDocument.arches[jaw];
  return record && shownArch(record, ui.laterScan);
};

/** As `shownArchOf`, followed. */
export const useShownArch = (jaw: Jaw): ArchRecord | null => useStore((state) => shownArchOf(jaw, state));

/** The scan on show of a jaw, or null while it is not loaded. */
export const useShownScan = (jaw: Jaw): LoadedScanOnPage | null =>
  useStore((state) => state.scans[shownArchOf(jaw, state)?.scan.sha256 ?? ''] ?? null);

/** The later scan on show of a jaw; null while its first scan is. */
export const useFollowUpOnShow = (jaw: Jaw): FollowUpRecord | null =>
  useStore(({ caseDocument, ui }) => {
    const record = caseDocument.arches[jaw];
    return record && followUpOnShow(record, ui.laterScan);
  });

/** True while a later scan of a jaw is on show: crowns and frame are corrected on the first one. */
export const isLaterOnShow = (jaw: Jaw): boolean => {
  const { caseDocument, ui } = useStore.getState();
  const record = caseDocument.arches[jaw];
  return record !== null && followUpOnShow(record, ui.laterScan) !== null;
};

/** Measures of the arch on show, by its own marks. */
export function useShownMeasures(jaw: Jaw): ArchMeasures | null {
  const first = useArchAccount(jaw)?.measures ?? null;
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const followUp = useFollowUpOnShow(jaw);
  return record && followUp ? (followUpOf(record, followUp).account?.measures ?? null) : first;
}
