import { takeFiles } from '../files/caseFiles.ts';
import { CASE_TYPES, SCAN_TYPES } from '../files/scanTypes.ts';

/** Opens the browser's file chooser; nothing happens when the user leaves it. */
export function chooseFile(types: string, take: (file: File) => void): void {
  const input = document.createElement('input');
  input.type = 'file';
  input.accept = types;
  input.addEventListener('change', () => {
    const [file] = [...(input.files ?? [])];
    if (file) take(file);
  });
  input.click();
}

export const chooseScan = (): void => chooseFile(SCAN_TYPES, (file) => takeFiles([file]));
export const chooseCase = (): void => chooseFile(CASE_TYPES, (file) => takeFiles([file]));
