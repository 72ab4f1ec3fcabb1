import { Refusal } from '../../base/refusal.ts';
import { binaryStlBytes, binaryStlCount } from './readBinaryStl.ts';

export type FileKind = 'stl-binary' | 'stl-ascii' | 'ply' | 'obj';

const HEAD_BYTES = 4096;

/** First bytes of other kinds of files that end up in the file chooser. */
const OTHERS: readonly (readonly [string, string])[] = [
  ['PK\x03\x04', 'a zip archive'],
  ['\x1f\x8b', 'a gzip archive'],
  ['7z\xbc\xaf', 'a 7z archive'],
  ['Rar!', 'a rar archive'],
  ['glTF', 'a binary glTF scene'],
  ['%PDF', 'a PDF document'],
  ['\x89PNG', 'a PNG picture'],
  ['\xff\xd8\xff', 'a JPEG picture'],
  ['OFF', 'an OFF mesh'],
  ['{', 'a JSON text'],
  ['[', 'a JSON text'],
  ['<', 'an XML or HTML text'],
];

/**
 * The kind of scan file, told from its content; the name only decides which refusal a broken STL gets.
 *
 * The exact size of a binary STL comes first: binary files may begin with "solid".
 * Refuses:  'file-empty', 'format-unknown' (naming what the file seems to be).
 */
export function detectFormat(bytes: Uint8Array, fileName: string): FileKind {
  if (bytes.length === 0) {
    throw new Refusal(
      'file-empty',
      'readScan: the file is empty; got 0 bytes, need a scan. Copy or export the scan again.',
    );
  }
  const count = binaryStlCount(bytes);
  if (count > 0 && bytes.length === binaryStlBytes(count)) return 'stl-binary';
  let head = '';
  let isText = true;
  for (const byte of bytes.subarray(0, HEAD_BYTES)) {
    head += String.fromCharCode(byte);
    if (byte < 9 || (byte > 13 && byte < 32)) isText = false;
  }
  if (/^ply[\t ]*[\r\n]/.test(head)) return 'ply';
  const text = head.replace(/^\xef\xbb\xbf/, '');
  if (isText && /^\s*solid\b/i.test(text)) return 'stl-ascii';
  if (isText && /^\s*(#[^\r\n]*\s+)*(v|vn|vt|f|g|o|s|mtllib|usemtl)[ \t]/.test(text)) return 'obj';
  const named = /\.stl$/i.test(fileName);
  const other = OTHERS.find(([magic]) => text.trimStart().startsWith(magic));
  if (other) refuse(other[1]);
  // A broken binary STL: its own reader says what is wrong with the count or the size.
  if (named && !isText) return 'stl-binary';
  return refuse(isText ? 'some other text' : 'some other binary file');
}

function refuse(found: string): never {
  throw new Refusal(
    'format-unknown',
    `readScan: the file is not a scan this program can read; got ${found}, need STL, PLY or OBJ. Export the scan as STL or PLY.`,
    { found },
  );
}
