import { Refusal } from '../../base/refusal.ts';
import { TextCursor } from './TextCursor.ts';

export type PlyType = 'int8' | 'uint8' | 'int16' | 'uint16' | 'int32' | 'uint32' | 'float32' | 'float64';

export interface PlyProperty {
  readonly name: string;
  readonly type: PlyType; // of the value, or of each item of a list
  readonly countType: PlyType | null; // null where the property is a single value
}

export interface PlyElement {
  readonly name: string;
  readonly count: number;
  readonly properties: readonly PlyProperty[];
}

export interface PlyHeader {
  readonly encoding: 'ascii' | 'binary_little_endian' | 'binary_big_endian';
  readonly elements: readonly PlyElement[];
  /** Offset of the first byte after the header. */
  readonly dataOffset: number;
}

const LONGEST_HEADER_BYTES = 1 << 20;
const LF = 10;
const CR = 13;

const TYPES: Readonly<Record<string, PlyType>> = {
  char: 'int8',
  int8: 'int8',
  uchar: 'uint8',
  uint8: 'uint8',
  short: 'int16',
  int16: 'int16',
  ushort: 'uint16',
  uint16: 'uint16',
  int: 'int32',
  int32: 'int32',
  uint: 'uint32',
  uint32: 'uint32',
  float: 'float32',
  float32: 'float32',
  double: 'float64',
  float64: 'float64',
};

/** Bytes of one value of a type. */
export const PLY_BYTES: Readonly<Record<PlyType, number>> = {
  int8: 1,
  uint8: 1,
  int16: 2,
  uint16: 2,
  int32: 4,
  uint32: 4,
  float32: 4,
  float64: 8,
};

/**
 * Reads the header of a PLY file.
 *
 * Refuses:  'header-invalid' (with the line), 'file-truncated' (no end_header).
 * Source:   Turk G, the PLY polygon file format, 1994; both families of type names.
 */
export function plyHeader(bytes: Uint8Array): PlyHeader {
  const cursor = new TextCursor(bytes.subarray(0, LONGEST_HEADER_BYTES), 'readPly');
  // The first line tells the line end: CR alone, so that a data byte 10 after the header is not taken for one.
  const crOnly = bytes[3] === CR && bytes[4] !== LF;
  let encoding: PlyHeader['encoding'] | null = null;
  const elements: { name: string; count: number; properties: PlyProperty[] }[] = [];
  cursor.nextLine();
  for (;;) {
    const start = cursor.offset;
    if (cursor.atEnd) cursor.refuseEnd('"end_header"');
    cursor.nextLine();
    const line = cursor.textOf(start, cursor.offset).trim();
    const words = line.split(/\s+/);
    if (words[0] === 'end_header') {
      if (crOnly && bytes[cursor.offset - 1] === LF) cursor.offset--;
      break;
    }
    if (words[0] === 'format') encoding = encodingOf(words, line, cursor, start);
    else if (words[0] === 'element') elements.push(elementOf(words, line, cursor, start));
    else if (words[0] === 'property') {
      const element = elements.at(-1);
      if (!element) refuse(cursor, start, line, 'an "element" before its properties');
      element.properties.push(propertyOf(words, line, cursor, start));
    } else if (!['comment', 'obj_info', ''].includes(words[0])) {
      refuse(cursor, start, line, 'format, comment, obj_info, element, property or end_header');
    }
  }
  if (encoding === null) refuse(cursor, 0, 'no "format" line', '"format ascii 1.0" or a binary one');
  return { encoding, elements, dataOffset: cursor.offset };
}

function encodingOf(words: string[], line: string, cursor: TextCursor, start: number): PlyHeader['encoding'] {
  const encoding = words[1];
  if (encoding === 'ascii' || encoding === 'binary_little_endian' || encoding === 'binary_big_endian') {
    return encoding;
  }
  return refuse(cursor, start, line, 'ascii, binary_little_endian or binary_big_endian');
}

function elementOf(words: string[], line: string, cursor: TextCursor, start: number) {
  const count = /^\d{1,15}$/.test(words[2] ?? '') ? Number(words[2]) : -1;
  if (words.length !== 3 || count < 0)
    refuse(cursor, start, line, '"element NAME COUNT", COUNT a whole number');
  return { name: words[1], count, properties: [] };
}

function propertyOf(words: string[], line: string, cursor: TextCursor, start: number): PlyProperty {
  const isList = words[1] === 'list';
  const type = TYPES[isList ? words[3] : words[1]];
  const countType = isList ? TYPES[words[2]] : null;
  const name = words[isList ? 4 : 2];
  const countIsWhole = countType !== 'float32' && countType !== 'float64';
  if (type === undefined || countType === undefined || name === undefined || !countIsWhole) {
    refuse(cursor, start, line, '"property TYPE NAME" or "property list COUNTTYPE TYPE NAME"');
  }
  return { name, type, countType };
}

function refuse(cursor: TextCursor, start: number, line: string, need: string): never {
  const lineNumber = cursor.lineAt(start);
  throw new Refusal(
    'header-invalid',
    `readPly: the header cannot be read in line ${lineNumber}; got "${line.slice(0, 60)}", need ${need}. Export the scan again.`,
    { line: lineNumber, found: line.slice(0, 60) },
  );
}
