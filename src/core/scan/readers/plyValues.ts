import { Refusal } from '../../base/refusal.ts';
import type { GrowableIndices } from './Growable.ts';
import { PLY_BYTES, type PlyElement, type PlyHeader, type PlyType } from './plyHeader.ts';
import { TextCursor } from './TextCursor.ts';

/** Where in the file something stands: a byte in a binary file, a line in a text. */
export interface Place {
  readonly line?: number;
  readonly byte?: number;
}

/** The values of a PLY's data part, one after the other, whatever the encoding. */
export interface PlyValueReader {
  readonly offset: number;
  next(type: PlyType, what: string): number;
  skip(type: PlyType): void;
  /** The count that starts a list, checked against the bytes that are left. */
  listCount(type: PlyType, what: string): number;
  /** Called after each row of an element: in a text a row is a line. */
  endRow(): void;
  /** Passes over a whole element at once where its rows have one size; its place in the file, or null. */
  fixedRows(element: PlyElement): FixedRows | null;
  /** Reads plain rows "3 a b c" (byte count, 4-byte items) while they come, `limit` at most; how many came. */
  triangleRows(limit: number, corners: GrowableIndices): number;
  /** Called after the last element: nothing but white space may follow. */
  finish(): void;
  place(offset: number): Place;
  refuseNumber(what: string, found: number, offset: number): never;
}

/** Rows of one size in a binary file. */
export interface FixedRows {
  readonly view: DataView;
  readonly firstByte: number;
  readonly rowBytes: number;
  readonly littleEndian: boolean;
}

/**
 * The values of a data part that begins where the header ends.
 * Refuses: 'file-truncated', 'count-mismatch', 'number-invalid' from its methods, each naming byte or line.
 */
export function plyValues(header: PlyHeader, bytes: Uint8Array): PlyValueReader {
  return header.encoding === 'ascii'
    ? new TextValues(bytes, header.dataOffset)
    : new BinaryValues(bytes, header.dataOffset, header.encoding === 'binary_little_endian');
}

/** Some writers end a binary file with a line end or padding. */
const SPARE_BYTES = 4;
const WHITE = [0, 9, 10, 13, 32];

const numberMessage = (what: string, found: number, where: string): string =>
  `readPly: ${what} of a vertex is not a usable number ${where}; got ${found}, need a finite number. Export the scan again.`;

class BinaryValues implements PlyValueReader {
  offset: number;
  private readonly view: DataView;
  private readonly littleEndian: boolean;
  constructor(bytes: Uint8Array, offset: number, littleEndian: boolean) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.offset = offset;
    this.littleEndian = littleEndian;
  }

  next(type: PlyType, what: string): number {
    const at = this.offset;
    this.offset = at + PLY_BYTES[type];
    if (this.offset > this.view.byteLength) this.refuseEnd(what);
    switch (type) {
      case 'float32':
        return this.view.getFloat32(at, this.littleEndian);
      case 'int32':
        return this.view.getInt32(at, this.littleEndian);
      case 'uint8':
        return this.view.getUint8(at);
      case 'uint32':
        return this.view.getUint32(at, this.littleEndian);
      case 'float64':
        return this.view.getFloat64(at, this.littleEndian);
      case 'int8':
        return this.view.getInt8(at);
      case 'int16':
        return this.view.getInt16(at, this.littleEndian);
      case 'uint16':
        return this.view.getUint16(at, this.littleEndian);
    }
  }

  skip(type: PlyType): void {
    this.offset += PLY_BYTES[type];
    if (this.offset > this.view.byteLength) this.refuseEnd('a value');
  }

  listCount(type: PlyType, what: string): number {
    const count = this.next(type, what);
    if (count < 0 || count > this.view.byteLength - this.offset) this.refuseEnd(`${count} values of ${what}`);
    return count;
  }

  endRow(): void {}

  fixedRows({ count, properties }: PlyElement): FixedRows | null {
    if (properties.some((p) => p.countType !== null)) return null;
    const firstByte = this.offset;
    const rowBytes = properties.reduce((sum, p) => sum + PLY_BYTES[p.type], 0);
    this.offset += count * rowBytes;
    if (this.offset > this.view.byteLength) this.refuseEnd('a value');
    return { view: this.view, firstByte, rowBytes, littleEndian: this.littleEndian };
  }

  triangleRows(limit: number, corners: GrowableIndices): number {
    const { view, littleEndian } = this;
    let at = this.offset;
    let rows = 0;
    for (; rows < limit && at + 13 <= view.byteLength && view.getUint8(at) === 3; rows++, at += 13) {
      const a = view.getUint32(at + 1, littleEndian);
      const b = view.getUint32(at + 5, littleEndian);
      corners.push3(a, b, view.getUint32(at + 9, littleEndian));
    }
    this.offset = at;
    return rows;
  }

  finish(): void {
    const left = this.view.byteLength - this.offset;
    for (let i = this.offset; i < this.view.byteLength; i++) {
      if (left <= SPARE_BYTES && WHITE.includes(this.view.getUint8(i))) continue;
      throw new Refusal(
        'count-mismatch',
        `readPly: the file goes on after its data at byte ${this.offset}; got ${left} bytes more, need none. Export the scan again.`,
        { byte: this.offset, left },
      );
    }
  }

  place(offset: number): Place {
    return { byte: offset };
  }

  refuseNumber(what: string, found: number, offset: number): never {
    throw new Refusal('number-invalid', numberMessage(what, found, `at byte ${offset}`), {
      byte: offset,
      found: String(found),
    });
  }

  private refuseEnd(what: string): never {
    const { byteLength } = this.view;
    throw new Refusal(
      'file-truncated',
      `readPly: the file ends early at byte ${byteLength}; got no room for ${what}, need the data its header promises. Copy or export the scan again.`,
      { byte: byteLength },
    );
  }
}

class TextValues implements PlyValueReader {
  private readonly cursor: TextCursor;
  private rowStarted = false;
  constructor(bytes: Uint8Array, offset: number) {
    this.cursor = new TextCursor(bytes, 'readPly', offset);
  }

  get offset(): number {
    return this.cursor.offset;
  }

  next(_type: PlyType, what: string): number {
    this.startRow();
    return this.cursor.number(what);
  }

  skip(): void {
    this.startRow();
    if (this.cursor.atLineEnd()) this.cursor.number('a value');
    this.cursor.skipWord();
  }

  /** Blank lines between rows do not count as rows. */
  private startRow(): void {
    if (this.rowStarted) return;
    this.cursor.skipWhite();
    if (this.cursor.atEnd) this.cursor.refuseEnd('another row');
    this.rowStarted = true;
  }

  listCount(type: PlyType, what: string): number {
    const start = this.offset;
    const count = this.next(type, `the count of ${what}`);
    if (!Number.isInteger(count) || count < 0) this.refuseNumber(what, count, start);
    // One digit and one blank for each value.
    const left = (this.cursor.bytes.length - this.offset + 1) / 2;
    if (count > left) this.cursor.refuseEnd(`${count} values of ${what}`);
    return count;
  }

  endRow(): void {
    if (!this.rowStarted) return;
    this.rowStarted = false;
    if (this.cursor.atLineEnd()) {
      this.cursor.nextLine();
      return;
    }
    const { line, byte } = this.place(this.offset);
    throw new Refusal(
      'count-mismatch',
      `readPly: line ${line} is longer than its element; got more values at byte ${byte}, need the end of the line. Export the scan again.`,
      { line, byte },
    );
  }

  fixedRows(): null {
    return null;
  }

  triangleRows(): number {
    return 0;
  }

  finish(): void {
    this.cursor.skipWhite();
    if (this.cursor.atEnd) return;
    const line = this.cursor.lineAt();
    throw new Refusal(
      'count-mismatch',
      `readPly: the file goes on after its data in line ${line}; got more rows than the header promises, need none. Export the scan again.`,
      { line },
    );
  }

  place(offset: number): Place {
    // A row starts after the blanks that lead to it.
    let at = offset;
    while (at < this.cursor.bytes.length && this.cursor.bytes[at] <= 32) at++;
    return { line: this.cursor.lineAt(at), byte: at };
  }

  refuseNumber(what: string, found: number, offset: number): never {
    const { line, byte } = this.place(offset);
    throw new Refusal('number-invalid', numberMessage(what, found, `in line ${line}`), {
      line,
      byte,
      found: String(found),
    });
  }
}
