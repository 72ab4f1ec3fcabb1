import { caseJson } from '../../core/casefile/documentJson.ts';
import { readDocument } from '../../core/casefile/readDocument.ts';
import { actions, useStore } from '../store.ts';
import { type KnownCase, setFiles } from './fileStore.ts';
import { showRefusal } from './openScan.ts';
import { findKeptCase, replaceCase, replaceKeptCase } from './session.ts';

/** Gives the user a file to keep. */
export function download(fileName: string, text: string, type: string): void {
  const url = URL.createObjectURL(new Blob([text], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = fileName;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** File name made of the case's title, or of nothing that identifies anybody. */
export const fileStem = (title: string = useStore.getState().caseDocument.title): string => {
  const plain = title
    .trim()
    .replace(/[^\p{L}\p{N} _-]+/gu, '')
    .replace(/\s+/g, '-');
  return plain || 'archledger-case';
};

export function saveCaseFile(): void {
  download(`${fileStem()}.case.json`, caseJson(useStore.getState().caseDocument), 'application/json');
  actions().announce('Case file saved.');
}

async function openCaseFile(file: File): Promise<void> {
  try {
    const document = readDocument(await file.text(), 'case');
    // A case kept here under the same id may hold newer work: the user says which is to stand.
    const kept = await findKeptCase(document.id);
    if (kept) {
      setFiles({ knownCase: { fileName: file.name, document, kept } });
      return;
    }
    await replaceCase(document, null, true);
    actions().announce(`Case opened from ${file.name}.`);
  } catch (error) {
    showRefusal(error, `${file.name} was not opened`);
  }
}

/** Opens the file's case over the one kept under its id. */
export const openInPlace = ({ fileName, document }: KnownCase): Promise<void> =>
  opening(fileName, () => replaceKeptCase(document));

/** Opens the file's case as one of its own beside the kept one. */
export const openAsCopy = ({ fileName, document }: KnownCase): Promise<void> =>
  opening(fileName, () => replaceCase({ ...document, id: crypto.randomUUID() }, null, true));

async function opening(fileName: string, open: () => Promise<void>): Promise<void> {
  try {
    await open();
    actions().announce(`Case opened from ${fileName}.`);
  } catch (error) {
    showRefusal(error, `${fileName} was not opened`);
  }
}

const isCaseFile = (file: File): boolean => /\.json$/i.test(file.name);

/** What to do with files that were chosen or dropped: a case opens, a scan asks for its jaw. */
export function takeFiles(files: readonly File[]): void {
  const [first] = files;
  if (!first) return;
  if (isCaseFile(first)) void openCaseFile(first);
  else setFiles({ waiting: { file: first } });
}
