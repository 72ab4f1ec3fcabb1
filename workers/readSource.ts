import { Refusal } from '../src/core/base/refusal.ts';
import { refuseFileSize } from '../src/core/scan/readers/readScan.ts';
import type { ScanSource } from './contract.ts';

const CHUNK_BYTES = 4 << 20;

/**
 * The bytes of a source. A file is read piece by piece into one array of its size.
 *
 * Refuses:  'file-too-large' before reading; 'storage-failed' where the file cannot be read any more.
 * Rejected: `file.arrayBuffer()` — 375 ms for 50 MB in a Chromium worker against 89 ms with one reused 4 MB buffer.
 */
export async function readSource(
  source: ScanSource,
  onProgress?: (doneRatio: number) => void,
): Promise<Uint8Array> {
  if (source instanceof ArrayBuffer) return new Uint8Array(source);
  refuseFileSize(source.size);
  try {
    return await readFile(source, onProgress);
  } catch (error) {
    throw new Refusal(
      'storage-failed',
      `readSource: the file cannot be read; got "${error instanceof Error ? error.message : String(error)}", need a file that is still there. Choose it again.`,
    );
  }
}

async function readFile(file: Blob, onProgress?: (doneRatio: number) => void): Promise<Uint8Array> {
  const bytes = new Uint8Array(file.size);
  const reader = byteReader(file);
  if (!reader) return new Uint8Array(await file.arrayBuffer());
  let length = 0;
  let chunk = new ArrayBuffer(CHUNK_BYTES);
  for (;;) {
    const { value, done } = await reader.read(new Uint8Array(chunk));
    if (done || !value) break;
    if (length + value.length > bytes.length) throw new Error('the file grew while it was read');
    bytes.set(value, length);
    length += value.length;
    chunk = value.buffer as ArrayBuffer;
    onProgress?.(length / bytes.length);
  }
  if (length < bytes.length) throw new Error('the file shrank while it was read');
  return bytes;
}

/** A reader that fills a buffer of ours; null where the platform has none. */
function byteReader(file: Blob): ReadableStreamBYOBReader | null {
  try {
    return file.stream().getReader({ mode: 'byob' });
  } catch {
    return null;
  }
}
