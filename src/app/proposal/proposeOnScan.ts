import type { ProposalAsked, ProposedArch } from '../../../workers/contract.ts';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { TeethSaid } from '../../core/crowns/findCrowns.ts';
import type { ProposalProgress, ProposalStage } from '../../core/marks/proposeMarks.ts';
import { geometry, scanFiles, sourceOf } from '../files/scanFiles.ts';
import { jawName } from '../format.ts';
import { activeMarks, isBlinded } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { doubtfulMarks } from './doubtfulMarks.ts';
import { proposalOf, setProposal } from './proposalStore.ts';
import { proposedInWords } from './proposedInWords.ts';

const STAGE_WORDS: Readonly<Record<ProposalStage, string>> = {
  crowns: 'Telling the crowns apart',
  'contact-points': 'Finding the contact points',
  done: 'Done',
};

const recordOf = (jaw: Jaw): ArchRecord | null => useStore.getState().caseDocument.arches[jaw];

/** What the chart of an arch says of its teeth. */
export const teethSaid = ({ chart }: ArchRecord): TeethSaid => ({
  missing: chart.missing,
  unerupted: chart.unerupted,
  thirdMolars: chart.thirdMolars,
  primary: chart.primary,
});

/** What the worker is asked for a record as it stands. */
export const askedOf = (record: ArchRecord): ProposalAsked => ({
  sha256: record.scan.sha256,
  frame: record.frame,
  jaw: record.jaw,
  said: teethSaid(record),
  corrections: record.crownCorrections,
});

/**
 * Proposes marks on the scan of a jaw, in the worker; one step of undo. Confirmed marks stay. A refusal is shown
 * in the banner. With `onlyCrowns` no mark is touched: the crowns are found for being shown.
 */
export async function proposeOnScan(jaw: Jaw, onlyCrowns = false): Promise<boolean> {
  const record = recordOf(jaw);
  if (!record || proposalOf(jaw).working) return false;
  if (!onlyCrowns && isBlinded(record)) return false; // nothing may lead who repeats a reading
  const { id } = useStore.getState().caseDocument;
  const asked = askedOf(record);
  setProposal(jaw, { onlyCrowns });
  try {
    const found = await askWorker(asked, record);
    const now = recordOf(jaw);
    // Another case or scan may have come in meanwhile.
    if (now?.scan.sha256 !== asked.sha256 || useStore.getState().caseDocument.id !== id) return false;
    setProposal(jaw, { found: { ...found, ...asked }, refusal: null, review: null });
    if (onlyCrowns) return true;
    actions().proposeMarks(jaw, found.marks);
    const after = recordOf(jaw);
    const marks = after ? activeMarks(after) : [];
    actions().announce(
      `${jawName(jaw)}: ${proposedInWords(marks, doubtfulMarks(marks, found.doubts).length)}`,
    );
    return true;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    if (error.code === 'cancelled')
      actions().announce(
        onlyCrowns ? 'Cancelled. No crowns were told apart.' : 'Cancelled. Nothing was proposed.',
      );
    else setProposal(jaw, { refusal: error });
    return false;
  } finally {
    setProposal(jaw, { working: null });
  }
}

/** The worker's answer, with the progress shown in the banner; the caller ends it. */
export async function askWorker(asked: ProposalAsked, record: ArchRecord): Promise<ProposedArch> {
  const { jaw } = asked;
  const worker = await geometry();
  const cancel = (): void => worker.cancel();
  const show = ({ stage, doneRatio: ratio }: ProposalProgress): void =>
    setProposal(jaw, { working: { stage: STAGE_WORDS[stage], ratio, cancel } });
  show({ stage: 'crowns', doneRatio: 0 });
  try {
    return await worker.propose(asked, show);
  } catch (error) {
    if (!(error instanceof Refusal && error.code === 'scan-not-open')) throw error;
    // The worker was started anew since: it gets the scan again from the bytes at hand.
    const file = scanFiles.get(asked.sha256);
    if (!file)
      throw new Refusal(
        'scan-not-open',
        `proposeOnScan: the scan itself is not at hand; got ${record.scan.file} by name only, need its bytes. Open the file again.`,
      );
    await worker.open(await sourceOf(file), file.name, { unit: record.scan.unit });
    return await worker.propose(asked, show);
  }
}
