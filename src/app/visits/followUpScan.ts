import type { ScanToCompare } from '../../../workers/contract.ts';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ComparisonStage, ScanComparison } from '../../core/compare/compareScans.ts';
import { markKey, type PlacedMark } from '../../core/marks/Mark.ts';
import type { LengthUnit } from '../../core/scan/ScanMesh.ts';
import type { FollowUpRecord } from '../../core/visits/FollowUpRecord.ts';
import { setFiles } from '../files/fileStore.ts';
import { readScanFile, showRefusal } from '../files/openScan.ts';
import { geometry, type ScanFile, scanFiles, sourceOf } from '../files/scanFiles.ts';
import { keepVersion, scanFileOf } from '../files/session.ts';
import { jawName, mm } from '../format.ts';
import { teethSaid } from '../proposal/proposeOnScan.ts';
import { actions, useStore } from '../store.ts';
import { setComparison } from './comparisonStore.ts';
import { withFollowUp } from './visitEdits.ts';

const STAGE_WORDS: Readonly<Record<ComparisonStage, string>> = {
  'earlier-crowns': 'Crowns of the first scan',
  'later-crowns': 'Crowns of the later scan',
  arch: 'Laying the arches over each other',
  teeth: 'Laying each tooth over itself',
  walls: 'Comparing the facing walls',
  deviation: 'Measuring the distances left',
  done: 'Done',
};

/** When a later scan was taken. */
export interface FollowUpMoment {
  readonly date: string; // 2026-01-31
  readonly afterVisit: number;
}

/**
 * Opens a later scan of an arch: read, compared with the first scan, its marks proposed, and kept with the case as
 * one step of undo. Whatever is refused or cancelled leaves the case as it is.
 */
export async function openFollowUp(
  file: ScanFile,
  jaw: Jaw,
  moment: FollowUpMoment,
  unit: LengthUnit = 'mm',
): Promise<boolean> {
  const record = recordOf(jaw);
  if (!record) return false;
  const { id } = useStore.getState().caseDocument;
  try {
    const opened = await readScanFile(file, jaw, unit);
    const { facts, shape } = opened;
    if (facts.sha256 === record.scan.sha256)
      throw new Refusal(
        'scan-mismatch',
        `openFollowUp: this is the first scan itself; got ${file.name} with the checksum of ${record.scan.file}, need a later scan of the same arch. Choose the later file.`,
      );
    if (!opened.frame.ok) throw new Refusal(opened.frame.code, opened.frame.message, opened.frame.detail);
    scanFiles.set(facts.sha256, file);
    const { frame } = opened.frame.value;
    const later = { sha256: facts.sha256, frame, said: teethSaid(record) };
    const comparison = await compared(jaw, record, later, { file, unit });
    const proposal = await (await geometry()).propose(
      { ...later, jaw, said: teethSaid(record) },
      ({ doneRatio }) => progress(file.name, jaw, 'Proposing marks on the later scan', doneRatio),
    );
    if (!isStill(jaw, id, record.scan.sha256)) return false;
    setComparison(facts.sha256, comparison);
    const followUp: FollowUpRecord = {
      scan: facts,
      ...moment,
      medianEdgeMm: shape.medianEdgeMm,
      frame,
      measure: comparison.measure,
      marks: withConfirmedKept(proposal.marks, keptMarks(jaw, facts.sha256)),
    };
    actions().editVisits(jaw, (now) => withFollowUp(now, followUp));
    actions().announce(
      `${jawName(jaw)}: ${file.name} compared with the first scan, distances left ${mm(comparison.measure.residualRmsMm)} mm.`,
    );
    keepVersion('Follow-up scan measured').catch((error: unknown) =>
      showRefusal(error, 'The comparison is on the page but was not saved'),
    );
    return true;
  } catch (error) {
    showRefusal(error, `${file.name} was not taken`, (other) => void openFollowUp(file, jaw, moment, other));
    return false;
  } finally {
    setFiles({ reading: null });
  }
}

/** Marks of the same scan read before: what was corrected on it is not lost to new proposals. */
const keptMarks = (jaw: Jaw, sha256: string): readonly PlacedMark[] =>
  recordOf(jaw)?.followUps?.find(({ scan }) => scan.sha256 === sha256)?.marks ?? [];

function withConfirmedKept(
  proposed: readonly PlacedMark[],
  before: readonly PlacedMark[],
): readonly PlacedMark[] {
  const confirmed = before.filter((mark) => mark.state === 'confirmed');
  const taken = new Set(confirmed.map(markKey));
  return [...confirmed, ...proposed.filter((mark) => !taken.has(markKey(mark)))];
}

/** Compares a follow-up scan once more: its distances for the map, and a measure anew where the chart changed. */
export async function compareAgain(jaw: Jaw, sha256: string): Promise<boolean> {
  const record = recordOf(jaw);
  const followUp = record?.followUps?.find(({ scan }) => scan.sha256 === sha256);
  if (!record || !followUp) return false;
  const { id } = useStore.getState().caseDocument;
  try {
    const file = await scanFileOf(sha256);
    if (!file)
      throw new Refusal(
        'scan-not-open',
        `compareAgain: the later scan is not at hand; got ${followUp.scan.file} by name only, need its bytes. Open the file as a follow-up scan again.`,
      );
    const { frame, scan } = followUp;
    const later = { sha256, frame, said: teethSaid(record) };
    const comparison = await compared(jaw, record, later, { file, unit: scan.unit });
    if (!isStill(jaw, id, record.scan.sha256)) return false;
    setComparison(sha256, comparison);
    const { measure } = comparison;
    if (JSON.stringify(measure) !== JSON.stringify(followUp.measure))
      actions().editVisits(jaw, (now) => withFollowUp(now, { ...followUp, measure }));
    actions().announce(`${followUp.scan.file} compared again.`);
    return true;
  } catch (error) {
    showRefusal(error, `${followUp.scan.file} was not compared`);
    return false;
  } finally {
    setFiles({ reading: null });
  }
}

const recordOf = (jaw: Jaw): ArchRecord | null => useStore.getState().caseDocument.arches[jaw];

/** True while the case and its first scan are those the work began with. */
const isStill = (jaw: Jaw, id: string, sha256: string): boolean =>
  useStore.getState().caseDocument.id === id && recordOf(jaw)?.scan.sha256 === sha256;

function progress(fileName: string, jaw: Jaw, stage: string, ratio: number): void {
  void geometry().then((worker) => {
    if (worker.busy) setFiles({ reading: { fileName, jaw, stage, ratio, cancel: () => worker.cancel() } });
  });
}

interface LaterFile {
  readonly file: ScanFile;
  readonly unit: LengthUnit;
}

/** The worker's comparison; a scan it does not hold (any more) is opened there first. */
async function compared(
  jaw: Jaw,
  record: ArchRecord,
  later: ScanToCompare,
  { file, unit }: LaterFile,
): Promise<ScanComparison> {
  const worker = await geometry();
  const earlier = {
    sha256: record.scan.sha256,
    frame: record.frame,
    said: teethSaid(record),
    corrections: record.crownCorrections,
  };
  const ask = (): Promise<ScanComparison> =>
    worker.compare({ jaw, earlier, later }, ({ stage, doneRatio }) =>
      progress(file.name, jaw, STAGE_WORDS[stage], doneRatio),
    );
  try {
    return await ask();
  } catch (error) {
    if (!(error instanceof Refusal && error.code === 'scan-not-open')) throw error;
    const first = await scanFileOf(record.scan.sha256);
    if (!first)
      throw new Refusal(
        'scan-not-open',
        `openFollowUp: the first scan is not at hand; got ${record.scan.file} by name only, need its bytes. Open that file again.`,
      );
    await worker.open(await sourceOf(first), first.name, { unit: record.scan.unit });
    await worker.open(await sourceOf(file), file.name, { unit });
    return await ask();
  }
}
