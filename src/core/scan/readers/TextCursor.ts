import { Refusal } from '../../base/refusal.ts';

const TAB = 9;
const LF = 10;
const CR = 13;
const SPACE = 32;
const POWERS_OF_TEN = Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));

/** A reader of words and numbers in a text file given as bytes; it can name the line it stands on. */
export class TextCursor {
  readonly bytes: Uint8Array;
  offset: number;
  readonly caller: string; // who reads, for messages
  private readonly decoder = new TextDecoder();
  constructor(bytes: Uint8Array, caller: string, offset = 0) {
    this.bytes = bytes;
    this.caller = caller;
    this.offset = offset;
  }

  /** 1-based line of a byte offset; counted only when something has to be said about it. */
  lineAt(offset = this.offset): number {
    let line = 1;
    for (let i = 0; i < Math.min(offset, this.bytes.length); i++) {
      const byte = this.bytes[i];
      if (byte === LF || (byte === CR && this.bytes[i + 1] !== LF)) line++;
    }
    return line;
  }

  get atEnd(): boolean {
    return this.offset >= this.bytes.length;
  }

  /** Skips blanks inside the line. */
  skipBlanks(): void {
    while (this.offset < this.bytes.length) {
      const byte = this.bytes[this.offset];
      if (byte !== SPACE && byte !== TAB) return;
      this.offset++;
    }
  }

  /** Skips blanks and line ends. */
  skipWhite(): void {
    while (this.offset < this.bytes.length && this.bytes[this.offset] <= SPACE) this.offset++;
  }

  /** True at the end of the line or file, blanks skipped. */
  atLineEnd(): boolean {
    this.skipBlanks();
    if (this.atEnd) return true;
    const byte = this.bytes[this.offset];
    return byte === LF || byte === CR;
  }

  /** Moves to the first byte of the next line. */
  nextLine(): void {
    const { bytes } = this;
    while (this.offset < bytes.length && bytes[this.offset] !== LF && bytes[this.offset] !== CR)
      this.offset++;
    if (bytes[this.offset] === CR && bytes[this.offset + 1] === LF) this.offset++;
    if (this.offset < bytes.length) this.offset++;
  }

  /** The next word on any line, in lower case; '' at the end of the file. Long words are cut for messages. */
  word(): string {
    this.skipWhite();
    const start = this.offset;
    this.skipWord();
    return this.textOf(start, Math.min(this.offset, start + 40)).toLowerCase();
  }

  skipWord(): void {
    while (this.offset < this.bytes.length && this.bytes[this.offset] > SPACE) this.offset++;
  }

  textOf(start: number, end: number): string {
    return this.decoder.decode(this.bytes.subarray(start, end));
  }

  /** The next number on this line. Refuses: 'number-invalid' (no number, NaN, infinite), 'file-truncated'. */
  number(what: string): number {
    this.skipBlanks();
    const { bytes } = this;
    const start = this.offset;
    let i = start;
    let byte = bytes[i];
    const negative = byte === 45;
    if (negative || byte === 43) byte = bytes[++i];
    let mantissa = 0;
    let digits = 0;
    let power = 0;
    for (; byte >= 48 && byte <= 57; byte = bytes[++i], digits++) mantissa = mantissa * 10 + byte - 48;
    if (byte === 46) {
      byte = bytes[++i];
      for (; byte >= 48 && byte <= 57; byte = bytes[++i], digits++, power--) {
        mantissa = mantissa * 10 + byte - 48;
      }
    }
    if (digits > 0 && (byte === 101 || byte === 69)) {
      byte = bytes[++i];
      const minus = byte === 45;
      if (minus || byte === 43) byte = bytes[++i];
      let exponent = 0;
      let exponentDigits = 0;
      for (; byte >= 48 && byte <= 57; byte = bytes[++i], exponentDigits++) {
        if (exponent < 10_000) exponent = exponent * 10 + byte - 48;
      }
      if (exponentDigits === 0) digits = 0;
      power += minus ? -exponent : exponent;
    }
    this.offset = i;
    const wordEnds = i >= bytes.length || byte <= SPACE;
    if (digits === 0 || !wordEnds) return this.refuseNumber(what, start);
    let value: number;
    // Exact where mantissa and power are both exact doubles; otherwise the language's own parser.
    if (mantissa <= Number.MAX_SAFE_INTEGER && power >= -22 && power <= 22) {
      value = power < 0 ? mantissa / POWERS_OF_TEN[-power] : mantissa * POWERS_OF_TEN[power];
      if (negative) value = -value;
    } else {
      value = Number(this.textOf(start, i));
    }
    if (!Number.isFinite(value)) return this.refuseNumber(what, start);
    return value;
  }

  private refuseNumber(what: string, start: number): never {
    this.offset = start;
    if (start >= this.bytes.length) this.refuseEnd(what);
    this.skipWord();
    const found = this.textOf(start, Math.min(this.offset, start + 40));
    if (this.atEnd && /^[-+0-9.eE]*$/.test(found)) this.refuseEnd(`the rest of ${what}`);
    const line = this.lineAt(start);
    const got = found === '' ? 'the end of the line' : `"${found}"`;
    throw new Refusal(
      'number-invalid',
      `${this.caller}: ${what} is not a number in line ${line} (byte ${start}); got ${got}, need a finite number. Export the scan again.`,
      { line, byte: start, found },
    );
  }

  refuseEnd(what: string): never {
    const line = this.lineAt();
    throw new Refusal(
      'file-truncated',
      `${this.caller}: the file ends early in line ${line}; got ${this.bytes.length} bytes, need ${what} after them. Copy or export the scan again.`,
      { line, byte: this.bytes.length },
    );
  }
}
