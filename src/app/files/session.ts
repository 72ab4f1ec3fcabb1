import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord, CaseDocument } from '../../core/casefile/CaseDocument.ts';
import { Autosave } from '../storage/autosave.ts';
import { CaseStore, type CaseVersion, type ScanToStore, scansNamed } from '../storage/caseStore.ts';
import { remember, remembered } from '../storage/pageMemory.ts';
import { forgetUnsaved, noteUnsaved, recoverUnsaved } from '../storage/unsavedWork.ts';
import { actions, useStore } from '../store.ts';
import { keepComparisons } from '../visits/comparisonStore.ts';
import { type FileState, remark, setFiles, useFiles } from './fileStore.ts';
import { attachScanFile, showRefusal } from './openScan.ts';
import { type ScanFile, scanFiles } from './scanFiles.ts';

const LAST_CASE_KEY = 'archledger.lastCase';
const LAST_JAW_KEY = 'archledger.lastJaw';
const JAWS: readonly Jaw[] = ['upper', 'lower'];

let store: CaseStore | null = null;
let autosave: Autosave | null = null;
/** True once the user changed something in this visit to the page. */
let hasChanged = false;
/** True while a case is being put in place: that is no change of the user's. */
let settling = false;

/** Files of the scans a document names, as far as this session has them. */
const storedScans = (ids: readonly string[]): readonly ScanToStore[] =>
  ids.flatMap((sha256) => {
    const file = scanFiles.get(sha256);
    return file ? { sha256, file: file.name, bytes: file.blob } : [];
  });

/** A scan shipped with the page, by its SHA-256; set at the start. */
let shipped: (sha256: string) => Promise<ScanFile | null> = async () => null;

/** Where a scan's bytes may be, the nearest first; a place that cannot be read has none. */
const SOURCES: readonly ((sha256: string) => Promise<ScanFile | null>)[] = [
  async (sha256) => scanFiles.get(sha256) ?? null,
  async (sha256) => {
    const stored = await store?.scan(sha256);
    return stored ? { name: String(stored.file), blob: new Blob([stored.bytes]) } : null;
  },
  (sha256) => shipped(sha256),
];

/** Opens a scan of the case from the first place that has it whole; gives what went wrong, if anything was found. */
async function attachScan({ jaw, scan }: ArchRecord): Promise<'attached' | 'nowhere' | Refusal> {
  let fault: Refusal | null = null;
  for (const source of SOURCES) {
    try {
      const file = await source(scan.sha256);
      if (!file) continue;
      await attachTwice({ ...file, name: scan.file }, jaw, scan);
      return 'attached';
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      fault ??= error;
      if (error.code === 'cancelled') break;
    }
  }
  return fault ?? 'nowhere';
}

/** A worker that dies over a scan is given it once more, afresh: nobody is there yet to ask for that. */
async function attachTwice(file: ScanFile, jaw: Jaw, scan: ArchRecord['scan']): Promise<void> {
  try {
    await attachScanFile(file, jaw, scan.unit, scan);
  } catch (error) {
    if (!(error instanceof Refusal && error.code === 'worker-died')) throw error;
    await attachScanFile(file, jaw, scan.unit, scan);
  }
}

/** Brings the scans of the case at hand to the page: from storage, or named as missing. */
async function attachScans(document: CaseDocument): Promise<void> {
  const missing: FileState['missingScans'][number][] = [];
  for (const jaw of JAWS) {
    const record = document.arches[jaw];
    if (!record || useStore.getState().scans[record.scan.sha256]) continue;
    const found = await attachScan(record);
    if (found === 'attached') continue;
    missing.push({ jaw, file: record.scan.file, isKept: found !== 'nowhere' });
    if (found !== 'nowhere') showRefusal(found, `${record.scan.file} could not be brought back`);
  }
  setFiles({ missingScans: missing });
}

/** Tries again to bring the scans of the case at hand to the page. */
export const attachScansAgain = (): Promise<void> => attachScans(useStore.getState().caseDocument);

/** A scan chosen again for a case that names it; any other file is refused. */
export async function supplyScan(file: File, jaw: Jaw): Promise<void> {
  const record = useStore.getState().caseDocument.arches[jaw];
  if (!record) return;
  try {
    const sha256 = await attachScanFile({ name: file.name, blob: file }, jaw, record.scan.unit, record.scan);
    setFiles({ missingScans: useFiles.getState().missingScans.filter((m) => m.jaw !== jaw) });
    // What was kept under its checksum, if anything, could not be opened.
    const scans = storedScans([sha256]).map((scan) => ({ ...scan, replaces: true }));
    autosave?.changed(useStore.getState().caseDocument, scans);
  } catch (error) {
    showRefusal(error, `${file.name} was not taken`);
  }
}

/** Lets go of what belongs to the scans of the case before. */
function letGo(document: CaseDocument): void {
  const named = scansNamed(document);
  for (const sha256 of scanFiles.keys()) if (!named.includes(sha256)) scanFiles.delete(sha256);
  keepComparisons(named);
}

/** Saves the case at hand, then puts another in its place; a scan opened meanwhile waits for the new one. */
async function inPlaceOfCase(revision: number | null, put: () => void): Promise<void> {
  setFiles({ replacing: true });
  try {
    await autosave?.begin(revision);
    settling = true;
    put();
  } finally {
    settling = false;
    setFiles({ replacing: false });
  }
}

/** Puts another case in place of the one at hand; what is unsaved is saved first. */
export async function replaceCase(
  document: CaseDocument,
  revision: number | null,
  save: boolean,
  jaw?: Jaw,
): Promise<void> {
  await inPlaceOfCase(revision, () => {
    actions().openCase(document);
    letGo(document);
    if (jaw && document.arches[jaw]) actions().setActiveJaw(jaw);
    setFiles({ frameRemarks: [], missingScans: [] });
  });
  rememberCase(revision === null && !save ? null : document.id);
  await attachScans(document);
  if (save) autosave?.changed(document, storedScans(scansNamed(document)));
}

/** Puts a case over the one kept under its id, in whatever revision that is. */
export async function replaceKeptCase(document: CaseDocument): Promise<void> {
  await autosave?.flush();
  const kept = await store?.find(document.id);
  await replaceCase(document, kept?.revision ?? null, true);
}

/** The case kept under an id, or null. */
export const findKeptCase = async (id: string) => (store ? await store.find(id) : null);

const rememberCase = (id: string | null): boolean => remember(LAST_CASE_KEY, id);

/** Case that was open last, or null where there is none or it cannot be read. */
async function rememberedCase() {
  const id = remembered(LAST_CASE_KEY);
  if (!store || !id) return null;
  try {
    return await store.load(id);
  } catch (error) {
    showRefusal(error, 'The case that was open last could not be read');
    remark(
      'The case that was open last cannot be read. It was left as it is: “Cases kept in this browser…” saves it as a file.',
    );
    return null;
  }
}

function watchDocument(): void {
  let seenScans = scansNamed(useStore.getState().caseDocument);
  useStore.subscribe((state, before) => {
    if (state.activeJaw !== before.activeJaw) remember(LAST_JAW_KEY, state.activeJaw);
    if (state.caseDocument === before.caseDocument) return;
    const { caseDocument } = state;
    const now = scansNamed(caseDocument);
    const fresh = now.filter((id) => !seenScans.includes(id));
    seenScans = now;
    if (settling) return;
    hasChanged = true;
    rememberCase(caseDocument.id);
    autosave?.changed(caseDocument, storedScans(fresh));
  });
  addEventListener('pagehide', leavePage);
  addEventListener('beforeunload', (event) => {
    if (wouldBeLost()) event.preventDefault();
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') void autosave?.flush();
  });
}

/** Work not saved yet is noted at once and saved if there is time; the note is read at the next start. */
function leavePage(): void {
  const unsaved = autosave?.unsaved;
  if (!unsaved) return;
  noteUnsaved(unsaved.document, unsaved.revision);
  void autosave?.flush();
}

/** True where closing the page loses something: a save that failed, a scan still being stored, no storage at all. */
function wouldBeLost(): boolean {
  if (!autosave) return hasChanged;
  const unsaved = autosave.unsaved;
  return unsaved !== null && (unsaved.hasFailed || unsaved.scanCount > 0);
}

/** Work noted as the page was closed is saved before anything else; what could not be is said. */
async function recover(opened: CaseStore): Promise<void> {
  try {
    const recovered = await recoverUnsaved(opened, () => crypto.randomUUID());
    if (recovered.kind === 'beside')
      remark(
        `Your last change before the page was closed was not saved in time, and its case has been saved elsewhere since. It is kept beside it as “${recovered.title}”.`,
      );
    if (recovered.kind === 'unreadable')
      remark(
        'A note of unsaved work cannot be read. The case stands as it was saved last; the note is kept aside.',
      );
  } catch (error) {
    showRefusal(error, 'The last change before the page was closed could not be saved');
  }
}

/** Storage failed or was lost: the work stays on the page, and that is said. */
function withoutStorage(refusal: Refusal): void {
  setFiles({ saving: { kind: 'failed', refusal } });
}

/** Starts the page: brings back the case that was open last, or opens the demo. */
export async function startSession(
  openDemo: () => Promise<void>,
  shippedScan: typeof shipped,
): Promise<void> {
  shipped = shippedScan;
  try {
    const opened = await CaseStore.open({ onLost: withoutStorage });
    store = opened;
    autosave = new Autosave({
      store: opened,
      onState: (saving) => {
        setFiles({ saving });
        if (saving.kind === 'saved') forgetUnsaved();
        if (saving.kind === 'saved' && saving.revision !== null) setFiles({ savedAt: new Date() });
      },
    });
    await recover(opened);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    withoutStorage(error);
  }
  watchDocument();
  const found = await rememberedCase();
  try {
    if (found) {
      const jaw = remembered(LAST_JAW_KEY);
      await replaceCase(found.document, found.revision, false, jaw === 'upper' ? 'upper' : 'lower');
      rememberCase(found.document.id);
      setFiles({ savedAt: new Date(found.savedAt) });
    } else {
      await openDemo();
      useStore.temporal.getState().clear(); // the demo is nobody's change
    }
  } finally {
    setFiles({ starting: false });
  }
}

/** Tries a failed save again; `overwrite` puts this page's work over what another tab saved. */
export const saveAgain = async (overwrite: boolean): Promise<void> => {
  if (overwrite) await autosave?.overwrite();
  else autosave?.changed(useStore.getState().caseDocument);
};

/** Saves what is unsaved now; true when nothing of the case at hand could be lost any more. */
export async function saveNow(): Promise<boolean> {
  await autosave?.flush();
  return useFiles.getState().saving?.kind !== 'failed';
}

/** The bytes of a scan of the case at hand: of this session, of the storage, or shipped with the page; null: nowhere. */
export async function scanFileOf(sha256: string): Promise<ScanFile | null> {
  for (const source of SOURCES) {
    const file = await source(sha256);
    if (file) return file;
  }
  return null;
}

/**
 * Keeps the case as it stands as a dated version, after what is unsaved is saved. Without storage there are no
 * versions, and that is already said at the top of the page.
 */
export async function keepVersion(label: string): Promise<CaseVersion | null> {
  if (!store) return null;
  const document = useStore.getState().caseDocument;
  await autosave?.flush();
  return await store.keepVersion(document, label);
}

export const keptVersions = async (): Promise<readonly CaseVersion[]> =>
  store ? await store.versions(useStore.getState().caseDocument.id) : [];

export const keptVersion = async (number: number): Promise<CaseDocument | null> =>
  store ? await store.version(useStore.getState().caseDocument.id, number) : null;

/** Every case kept in this browser that can be read; one that cannot is passed over, its own opening says why. */
export async function keptDocuments(): Promise<readonly CaseDocument[]> {
  const found: CaseDocument[] = [];
  for (const { id } of await keptCases()) {
    try {
      const loaded = await store?.load(id);
      if (loaded) found.push(loaded.document);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
    }
  }
  return found;
}

/** The text of a kept case as it is stored, whatever its state. */
export const keptText = async (id: string): Promise<string | null> =>
  store ? await store.rawText(id) : null;

/** Cases kept in this browser, the one saved last first. */
export const keptCases = async () => (store ? await store.list() : []);

export async function openKeptCase(id: string): Promise<void> {
  try {
    const found = await store?.load(id);
    if (!found) return;
    await replaceCase(found.document, found.revision, false);
    rememberCase(id);
    setFiles({ savedAt: new Date(found.savedAt) });
  } catch (error) {
    showRefusal(error, 'The case could not be opened');
  }
}

export async function deleteKeptCase(id: string): Promise<void> {
  await store?.delete(id);
  if (useStore.getState().caseDocument.id === id) await replaceCaseWithEmpty();
}

/** Takes the case off the page once it is kept; false where it could not be kept: it then stays. */
export async function replaceCaseWithEmpty(): Promise<boolean> {
  try {
    await inPlaceOfCase(null, () => {
      actions().newCase();
      letGo(useStore.getState().caseDocument);
      setFiles({ frameRemarks: [], missingScans: [], savedAt: null });
      rememberCase(null);
    });
    return true;
  } catch (error) {
    showRefusal(error, 'The case at hand could not be saved');
    return false;
  }
}
