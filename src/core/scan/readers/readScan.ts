import { Refusal } from '../../base/refusal.ts';
import { detectFormat } from './detectFormat.ts';
import { MAX_FILE_BYTES, type RawMesh, type ReadProgress } from './RawMesh.ts';
import { readAsciiStl } from './readAsciiStl.ts';
import { readBinaryStl } from './readBinaryStl.ts';
import { readObj } from './readObj.ts';
import { readPly } from './readPly.ts';

const READERS = { 'stl-binary': readBinaryStl, 'stl-ascii': readAsciiStl, ply: readPly, obj: readObj };

/**
 * Reads a scan file of any known format, told from its content.
 *
 * Units:    the file's own; nothing is converted or repaired here (a binary STL is welded on the way).
 * Refuses:  the scan-file codes, each naming the byte or line; counts are checked before memory is taken.
 */
export function readScan(bytes: Uint8Array, fileName: string, onProgress?: ReadProgress): RawMesh {
  refuseFileSize(bytes.length);
  return READERS[detectFormat(bytes, fileName)](bytes, onProgress);
}

/** Refuses a file that is too large before it is read. Refuses: 'file-too-large'. */
export function refuseFileSize(byteCount: number): void {
  if (byteCount <= MAX_FILE_BYTES) return;
  throw new Refusal(
    'file-too-large',
    `readScan: the file is too large; got ${byteCount} bytes, need at most ${MAX_FILE_BYTES}. Reduce the mesh before opening it.`,
    { bytes: byteCount },
  );
}
