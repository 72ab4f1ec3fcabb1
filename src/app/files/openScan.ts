import type { OpenArchStage, OpenedArch } from '../../../workers/contract.ts';
import { type ArchFrame, archFrame } from '../../core/arch/ArchFrame.ts';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { LengthUnit, ScanFacts } from '../../core/scan/ScanMesh.ts';
import { count, jawName } from '../format.ts';
import type { LoadedScanOnPage } from '../LoadedScanOnPage.ts';
import { proposeOnScan } from '../proposal/proposeOnScan.ts';
import { activeMarks } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { type FileState, setFiles, useFiles } from './fileStore.ts';
import { partOfPage } from './partOfPage.ts';
import { geometry, type ScanFile, scanFiles, sourceOf } from './scanFiles.ts';

export const STAGE_WORDS: Readonly<Record<OpenArchStage, string>> = {
  file: 'Reading the file',
  read: 'Reading triangles',
  check: 'Welding and checking the surface',
  index: 'Building the surface index',
  frame: 'Finding the arch frame',
  display: 'Preparing the view',
  done: 'Done',
};

/** Rays and closest points; not needed, and not fetched, before a scan is opened. */
const surfaceIndexPart = () => partOfPage(import('../../core/scan/surfaceIndex.ts'));

async function onPage(opened: OpenedArch): Promise<LoadedScanOnPage> {
  const { unpackSurfaceIndex } = await surfaceIndexPart();
  return {
    facts: opened.facts,
    shape: opened.shape,
    findings: opened.findings,
    mesh: opened.mesh,
    index: unpackSurfaceIndex(opened.mesh, opened.index),
    display: opened.display ?? opened.mesh,
  };
}

/** Where no frame was found: the middle of the scan, the file's own z up and y forward; to be set by hand. */
function middleFrame({ boundsMinMm: a, boundsMaxMm: b }: OpenedArch['shape']): ArchFrame {
  return archFrame([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2], [0, 0, 1], [0, 1, 0]);
}

/** Resolves once the state of files allows it. */
const until = (allows: (state: FileState) => boolean): Promise<void> =>
  new Promise((resolve) => {
    if (allows(useFiles.getState())) {
      resolve();
      return;
    }
    const stop = useFiles.subscribe((state) => {
      if (!allows(state)) return;
      stop();
      resolve();
    });
  });

/** True while no scan is being read, and no case about to be replaced: what is opened would go with the old one. */
const isFree = ({ reading, replacing }: FileState): boolean => !reading && !replacing;

/** Resolves when the case of the last visit, or the demo, is in place: it would take the place of what comes before. */
export const untilStarted = (): Promise<void> => until(({ starting }) => !starting);

async function read(file: ScanFile, jaw: Jaw, unit: LengthUnit): Promise<OpenedArch> {
  const worker = await geometry();
  const cancel = (): void => worker.cancel();
  setFiles({ reading: { fileName: file.name, jaw, stage: STAGE_WORDS.file, ratio: 0, cancel } });
  surfaceIndexPart().catch(() => {}); // fetched while the worker reads; a failure is told where it is needed
  try {
    return await worker.open(await sourceOf(file), file.name, {
      unit,
      onProgress: ({ stage, doneRatio }) =>
        setFiles({
          reading: { fileName: file.name, jaw, stage: STAGE_WORDS[stage], ratio: doneRatio, cancel },
        }),
    });
  } finally {
    setFiles({ reading: null });
  }
}

/** Reads a scan for a jaw with its progress shown, after any other; the case stays as it is. Throws what the worker refuses. */
export async function readScanFile(file: ScanFile, jaw: Jaw, unit: LengthUnit): Promise<OpenedArch> {
  await until(isFree);
  return await read(file, jaw, unit);
}

/**
 * Opens a scan into a jaw of the case at hand, and has its marks proposed where a frame was found and nothing is
 * marked yet, unless `propose` is false. A refusal is shown and leaves the case as it is.
 * `makeRoom` puts another case in place once the scan is read and before it is taken; false from it: nothing is taken.
 */
export async function openScanFile(
  file: ScanFile,
  jaw: Jaw,
  unit: LengthUnit = 'mm',
  propose = true,
  makeRoom: () => Promise<boolean> = async () => true,
): Promise<boolean> {
  // A scan chosen while another is read waits its turn.
  await until(isFree);
  try {
    const opened = await read(file, jaw, unit);
    const scan = await onPage(opened);
    if (!(await makeRoom())) return false;
    scanFiles.set(opened.facts.sha256, file);
    const found = opened.frame.ok ? opened.frame.value : null;
    actions().openScanInto(jaw, {
      scan,
      frame: found?.frame ?? middleFrame(opened.shape),
      frameConfidence: found?.confidence ?? 0,
    });
    setFiles({
      missingScans: useFiles.getState().missingScans.filter((missing) => missing.jaw !== jaw),
      frameRemarks: opened.frame.ok
        ? opened.frame.value.warnings.map((warning) => warning.message)
        : [`The arch frame was not found. Set it by hand with “Set upright”. ${opened.frame.message}`],
    });
    actions().announce(`${jawName(jaw)}: ${file.name} opened, ${count(opened.facts.triangles)} triangles.`);
    const record = useStore.getState().caseDocument.arches[jaw];
    if (propose && found && record && activeMarks(record).length === 0) void proposeOnScan(jaw);
    return true;
  } catch (error) {
    showRefusal(
      error,
      `${file.name} was not opened`,
      (other) => void openScanFile(file, jaw, other, propose, makeRoom),
    );
    return false;
  }
}

/**
 * Reads a scan the case already knows, and brings its mesh to the page. Throws what the worker refuses, and
 * 'scan-mismatch' where a checksum is wanted and the file has another.
 */
export async function attachScanFile(
  file: ScanFile,
  jaw: Jaw,
  unit: LengthUnit,
  wanted?: Pick<ScanFacts, 'file' | 'sha256'>,
): Promise<string> {
  const opened = await read(file, jaw, unit);
  const { sha256 } = opened.facts;
  if (wanted && sha256 !== wanted.sha256)
    throw new Refusal(
      'scan-mismatch',
      `attachScanFile: this is not the scan the case was made on; got ${file.name} with checksum ${sha256.slice(0, 12)}…, need ${wanted.file} with ${wanted.sha256.slice(0, 12)}…. Choose that file, or open this one as a new scan.`,
    );
  scanFiles.set(opened.facts.sha256, file);
  actions().attachScan(await onPage(opened));
  return opened.facts.sha256;
}

const isUnit = (value: unknown): value is LengthUnit =>
  typeof value === 'string' && ['mm', 'cm', 'm', 'in', 'um'].includes(value);

/** Shows a refusal; a cancelled reading needs no words, a bug is thrown on. */
export function showRefusal(error: unknown, title: string, again?: (unit: LengthUnit) => void): void {
  if (!(error instanceof Refusal)) throw error;
  if (error.code === 'cancelled') {
    actions().announce('Cancelled. The case is as it was.');
    return;
  }
  const { likelyUnit } = error.detail;
  const asks = error.code === 'unit-implausible' && again;
  setFiles({
    refused: {
      title,
      refusal: error,
      inUnit: asks ? { likely: isUnit(likelyUnit) ? likelyUnit : null, again } : null,
    },
  });
}
