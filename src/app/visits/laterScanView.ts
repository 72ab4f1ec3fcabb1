import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import { attachScanFile, showRefusal } from '../files/openScan.ts';
import { scanFileOf } from '../files/session.ts';
import { hideDeviation } from '../followup/deviationStore.ts';
import { endCrownTool } from '../proposal/crownPurpose.ts';
import { endReview } from '../proposal/proposalStore.ts';
import { setScene } from '../scene/sceneStore.ts';
import { actions, useStore } from '../store.ts';
import { dayOf } from './visitWords.ts';

const NOTHING = { selectedSite: null, selectedTooth: null, selectedContact: null, revealEvidence: null };

/** Puts a later scan with its marks in the place of the first one, to be looked at and corrected. */
export async function showLaterScan(jaw: Jaw, sha256: string): Promise<void> {
  const { caseDocument, scans } = useStore.getState();
  const followUp = caseDocument.arches[jaw]?.followUps?.find(({ scan }) => scan.sha256 === sha256);
  if (!followUp) return;
  try {
    if (!scans[sha256]) {
      const file = await scanFileOf(sha256);
      if (!file)
        throw new Refusal(
          'scan-not-open',
          `showLaterScan: the later scan is not at hand; got ${followUp.scan.file} by name only, need its bytes. Open the file as a follow-up scan again.`,
        );
      await attachScanFile(file, jaw, followUp.scan.unit);
    }
    if (useStore.getState().caseDocument.id !== caseDocument.id) return;
    // What is drawn over the first scan does not fit the later one.
    hideDeviation();
    endCrownTool();
    endReview();
    setScene({ tool: 'mark' });
    actions().setActiveJaw(jaw);
    actions().setUi({ ...NOTHING, laterScan: { jaw, sha256 } });
    actions().announce(`Follow-up scan of ${dayOf(followUp.date)} on show. Its marks can be corrected.`);
  } catch (error) {
    showRefusal(error, `${followUp.scan.file} cannot be shown`);
  }
}

export function leaveLaterScan(): void {
  endReview();
  actions().setUi({ ...NOTHING, laterScan: null });
  actions().announce('The first scan is on show again.');
}
