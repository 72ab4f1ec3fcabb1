import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { CaseDocument } from '../../core/casefile/CaseDocument.ts';
import { Autosave } from '../storage/autosave.ts';
import { CaseStore, type CaseVersion, type StoredScan, scansNamed } from '../storage/caseStore.ts';
import { actions, useStore } from '../store.ts';
import { setFiles, useFiles } from './fileStore.ts';
import { attachScanFile, showRefusal } from './openScan.ts';
import { type ScanFile, scanFiles } from './scanFiles.ts';

const LAST_CASE_KEY = 'archledger.lastCase';
const LAST_JAW_KEY = 'archledger.lastJaw';
const JAWS: readonly Jaw[] = ['upper', 'lower'];

let store: CaseStore | null = null;
let autosave: Autosave | null = null;
/** True while a case is being put in place: that is no change of the user's. */
let settling = false;

/** Files of the scans a document names, as far as this session has them. */
const storedScans = (ids: readonly string[]): readonly StoredScan[] =>
  ids.flatMap((sha256) => {
    const file = scanFiles.get(sha256);
    return file ? { sha256, file: file.name, bytes: file.blob } : [];
  });

/** A scan shipped with the page, by its SHA-256; set at the start. */
let shipped: (sha256: string) => Promise<ScanFile | null> = async () => null;

/** Brings the scans of the case at hand to the page: from storage, or named as missing. */
async function attachScans(document: CaseDocument): Promise<void> {
  const missing: { jaw: Jaw; file: string }[] = [];
  for (const jaw of JAWS) {
    const record = document.arches[jaw];
    if (!record || useStore.getState().scans[record.scan.sha256]) continue;
    const kept = scanFiles.get(record.scan.sha256);
    const stored = kept ? null : await store?.scan(record.scan.sha256);
    const file =
      kept ??
      (stored ? { name: stored.file, blob: new Blob([stored.bytes]) } : await shipped(record.scan.sha256));
    if (!file) {
      missing.push({ jaw, file: record.scan.file });
      continue;
    }
    try {
      await attachScanFile(file, jaw, record.scan.unit);
    } catch (error) {
      missing.push({ jaw, file: record.scan.file });
      showRefusal(error, `${record.scan.file} could not be brought back`);
    }
  }
  setFiles({ missingScans: missing });
}

/** A scan chosen again for a case that names it; any other file is refused. */
export async function supplyScan(file: File, jaw: Jaw): Promise<void> {
  const record = useStore.getState().caseDocument.arches[jaw];
  if (!record) return;
  try {
    const sha256 = await attachScanFile({ name: file.name, blob: file }, jaw, record.scan.unit);
    if (sha256 !== record.scan.sha256)
      throw new Refusal(
        'scan-mismatch',
        `supplyScan: this is not the scan the case was made on; got ${file.name} with checksum ${sha256.slice(0, 12)}…, need ${record.scan.file} with ${record.scan.sha256.slice(0, 12)}…. Choose that file, or open this one as a new scan.`,
      );
    setFiles({ missingScans: useFiles.getState().missingScans.filter((m) => m.jaw !== jaw) });
    void autosave?.changed(useStore.getState().caseDocument, storedScans([sha256]));
  } catch (error) {
    showRefusal(error, `${file.name} was not taken`);
  }
}

/** Puts another case in place of the one at hand; what is unsaved is saved first. */
export async function replaceCase(
  document: CaseDocument,
  revision: number | null,
  save: boolean,
  jaw?: Jaw,
): Promise<void> {
  await autosave?.begin(revision);
  settling = true;
  try {
    actions().openCase(document);
    if (jaw && document.arches[jaw]) actions().setActiveJaw(jaw);
    setFiles({ frameRemarks: [], missingScans: [] });
  } finally {
    settling = false;
  }
  remember(revision === null && !save ? null : document.id);
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

function remember(id: string | null): void {
  if (id) localStorage.setItem(LAST_CASE_KEY, id);
  else localStorage.removeItem(LAST_CASE_KEY);
}

/** Case that was open last, or null where there is none or it cannot be read. */
async function rememberedCase() {
  const id = localStorage.getItem(LAST_CASE_KEY);
  if (!store || !id) return null;
  try {
    return await store.load(id);
  } catch (error) {
    showRefusal(error, 'The case that was open last could not be read');
    return null;
  }
}

function watchDocument(): void {
  let seenScans = scansNamed(useStore.getState().caseDocument);
  useStore.subscribe((state, before) => {
    if (state.activeJaw !== before.activeJaw) localStorage.setItem(LAST_JAW_KEY, state.activeJaw);
    if (state.caseDocument === before.caseDocument) return;
    const { caseDocument } = state;
    const now = scansNamed(caseDocument);
    const fresh = now.filter((id) => !seenScans.includes(id));
    seenScans = now;
    if (settling) return;
    remember(caseDocument.id);
    autosave?.changed(caseDocument, storedScans(fresh));
  });
  addEventListener('pagehide', () => void autosave?.flush());
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') void autosave?.flush();
  });
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
        if (saving.kind === 'saved' && saving.revision !== null) setFiles({ savedAt: new Date() });
      },
    });
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    withoutStorage(error);
  }
  watchDocument();
  const found = await rememberedCase();
  try {
    if (found) {
      const jaw = localStorage.getItem(LAST_JAW_KEY);
      await replaceCase(found.document, found.revision, false, jaw === 'upper' ? 'upper' : 'lower');
      remember(found.document.id);
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
  const kept = scanFiles.get(sha256);
  if (kept) return kept;
  const stored = await store?.scan(sha256);
  return stored ? { name: stored.file, blob: new Blob([stored.bytes]) } : await shipped(sha256);
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

/** Cases kept in this browser, the one saved last first. */
export const keptCases = async () => (store ? await store.list() : []);

export async function openKeptCase(id: string): Promise<void> {
  try {
    const found = await store?.load(id);
    if (!found) return;
    await replaceCase(found.document, found.revision, false);
    remember(id);
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
    await autosave?.begin(null);
    settling = true;
    actions().newCase();
    setFiles({ frameRemarks: [], missingScans: [], savedAt: null });
    remember(null);
    return true;
  } catch (error) {
    showRefusal(error, 'The case at hand could not be saved');
    return false;
  } finally {
    settling = false;
  }
}
