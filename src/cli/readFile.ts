import { constants } from 'node:buffer';
import { readFile, stat } from 'node:fs/promises';
import { Refusal } from '../core/base/refusal.ts';

const MEBIBYTE = 2 ** 20;

/** The bytes of a file. Refuses: 'file-access' (absent, a folder, not allowed), 'file-too-large'. */
export async function fileBytes(path: string): Promise<Uint8Array> {
  try {
    const facts = await stat(path);
    if (!facts.isFile()) throw unreadable(path, facts.isDirectory() ? 'a folder' : 'no plain file');
    if (facts.size > constants.MAX_LENGTH || facts.size >= 2 ** 31)
      throw new Refusal(
        'file-too-large',
        `fileBytes: ${path} is too large; got ${Math.round(facts.size / MEBIBYTE)} MiB, need less than 2048 MiB. Export the scan with fewer triangles.`,
        { byteCount: facts.size },
      );
    return await readFile(path);
  } catch (error) {
    if (error instanceof Refusal) throw error;
    const { code, message } = error as NodeJS.ErrnoException;
    if (code === undefined) throw error;
    throw unreadable(path, code === 'ENOENT' ? 'no such file' : message);
  }
}

/** The text of a file, UTF-8; bytes that are no UTF-8 become marks that no reader accepts as JSON. */
export async function fileText(path: string): Promise<string> {
  return new TextDecoder('utf-8', { ignoreBOM: true }).decode(await fileBytes(path));
}

const unreadable = (path: string, got: string): Refusal =>
  new Refusal(
    'file-access',
    `fileBytes: ${path} cannot be read; got ${got}, need a file. Check the name and the folder.`,
    { path },
  );
