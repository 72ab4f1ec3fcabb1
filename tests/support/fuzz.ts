import fc from 'fast-check';
import { expect } from 'vitest';
import { Refusal } from '../../src/core/base/refusal.ts';

/** How often a property is tried: a usual number, or ARCHLEDGER_FUZZ_RUNS of them, from ARCHLEDGER_FUZZ_SEED on. */
export const fuzzRuns = (usual: number): { numRuns: number; seed: number } => ({
  numRuns: Number(process.env.ARCHLEDGER_FUZZ_RUNS ?? usual),
  seed: Number(process.env.ARCHLEDGER_FUZZ_SEED ?? 7),
});

export const FUZZ_TIMEOUT_MS = process.env.ARCHLEDGER_FUZZ_RUNS ? 7_200_000 : 60_000;

/** One change of a file: what kind, where (taken modulo the length), and a number to make it with. */
export type Edit = readonly [kind: number, at: number, value: number];

const U31 = 2 ** 31 - 1;
export const edits: fc.Arbitrary<readonly Edit[]> = fc.array(
  fc.tuple(fc.nat(U31), fc.nat(U31), fc.nat(U31)),
  { minLength: 1, maxLength: 5 },
);

/** Numbers on which counts and offsets break. */
const COUNTS = [0, 1, 2, 3, 255, 256, 65_535, 65_536, 0x7fffffff, 0x80000000, 0xffffffff, 1e9, 20_000_001];

/** Words on which texts break: numbers at their edges, headers, structure. */
const WORDS = [
  ...['nan', 'inf', '-inf', '1e999', '-1e999', '1e-999', '-0', '0x10', '1,5', '1.2.3', '--1', '+', '.', 'e5'],
  ...[
    '99999999999999999999',
    '-1',
    '0',
    '4294967295',
    '4294967296',
    '2147483648',
    '1e15',
    '1/2/3',
    '1//',
    '/',
  ],
  ...['solid', 'endsolid', 'facet', 'endloop', 'vertex', 'v', 'f', 'ply', 'end_header', 'format ascii 1.0\n'],
  ...[
    'element vertex 4294967295\n',
    'element face 1000000000000000\n',
    'element vertex 0\n',
    'element x 9\n',
  ],
  ...['property list uint int vertex_indices\n', 'property list char double x\n', 'property double x\n'],
  ...['property float x\n', 'comment\n', '\n', '\r', '\r\n', '\t', ' ', '\0', '\uFEFF', '"', "'", '#', '\\'],
  ...[
    '{',
    '}',
    '[',
    ']',
    ':',
    ',',
    'null',
    'true',
    '[[[[[[[[',
    '"__proto__":',
    '"constructor":{},',
    '\\u0000',
  ],
  ...[
    '\\ud800',
    '=1+1',
    '<b>',
    '\u202E',
    '𝟜',
    'é',
    ';',
    '"schema":"archledger/case@999",',
    '1e400',
    '-1e400',
  ],
];
const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const WORD_BYTES = WORDS.map(bytesOf);

const spliced = (bytes: Uint8Array, from: number, to: number, put: Uint8Array): Uint8Array => {
  const out = new Uint8Array(from + put.length + bytes.length - to);
  out.set(bytes.subarray(0, from));
  out.set(put, from);
  out.set(bytes.subarray(to), from + put.length);
  return out;
};

/** A file with some changes: bytes, counts, floats, words, pieces cut, doubled, or moved in from another file. */
export function edited(source: Uint8Array, changes: readonly Edit[], other: Uint8Array): Uint8Array {
  let bytes: Uint8Array = source.slice();
  for (const [kind, place, value] of changes) {
    // Half of all changes fall into the first bytes, where headers and counts are.
    const at =
      bytes.length === 0 ? 0 : place % 2 ? place % bytes.length : place % Math.min(bytes.length, 256);
    const word = WORD_BYTES[value % WORD_BYTES.length];
    const length = value % 64;
    const end = Math.min(bytes.length, at + length);
    const view = new DataView(bytes.buffer);
    switch (kind % 10) {
      case 0:
        if (bytes.length > 0) bytes[at] ^= 1 << (value % 8);
        break;
      case 1:
        if (bytes.length > 0) bytes[at] = value % 256;
        break;
      case 2:
        if (at + 4 <= bytes.length) view.setUint32(at, COUNTS[value % COUNTS.length], place % 3 > 0);
        break;
      case 3:
        if (at + 4 <= bytes.length)
          view.setFloat32(at, [Number.NaN, Infinity, -Infinity, 3e38, 1e-44, -0, 1e6][value % 7], true);
        break;
      case 4:
        bytes = spliced(bytes, at, at, word);
        break;
      case 5:
        bytes = spliced(bytes, at, Math.min(bytes.length, at + word.length), word);
        break;
      case 6:
        bytes = spliced(bytes, at, end, new Uint8Array(0));
        break;
      case 7:
        bytes = spliced(bytes, at, at, bytes.slice(at, end));
        break;
      case 8:
        bytes = bytes.slice(0, place % (bytes.length + 1));
        break;
      default:
        bytes = spliced(
          bytes,
          at,
          at,
          other.slice(value % other.length, (value % other.length) + length * 4),
        );
    }
  }
  return bytes;
}

/** A refusal in the house's form, or the value; anything else thrown is a fault and passes through. */
export function valueOrRefusal<T>(work: () => T): T | Refusal {
  try {
    return work();
  } catch (error) {
    return checkedRefusal(error);
  }
}

export async function settledOrRefusal<T>(work: () => Promise<T>): Promise<T | Refusal> {
  try {
    return await work();
  } catch (error) {
    return checkedRefusal(error);
  }
}

function checkedRefusal(error: unknown): Refusal {
  if (!(error instanceof Refusal)) throw error;
  if (!/^[^:]+: [\s\S]+; got [\s\S]+, need [\s\S]+/.test(error.message) || error.message.length > 2000)
    throw new Error(`a refusal not in the house's form: ${error.message.slice(0, 300)}`);
  return error;
}

const ARRAYS = [
  'Uint8Array',
  'Uint16Array',
  'Uint32Array',
  'Float32Array',
  'Float64Array',
  'ArrayBuffer',
] as const;

/** The largest block of memory that was asked for by its length while `work` ran, in bytes. */
export function largestBlock(work: () => void): number {
  const scope = globalThis as unknown as Record<string, new (...words: never[]) => object>;
  const real = ARRAYS.map((name) => scope[name]);
  let largest = 0;
  ARRAYS.forEach((name, i) => {
    const itemBytes = (real[i] as unknown as { BYTES_PER_ELEMENT?: number }).BYTES_PER_ELEMENT ?? 1;
    scope[name] = new Proxy(real[i], {
      construct(target, words: never[], asked) {
        if (typeof words[0] === 'number') largest = Math.max(largest, (words[0] as number) * itemBytes);
        return Reflect.construct(target, words, asked);
      },
    });
  });
  try {
    work();
  } finally {
    ARRAYS.forEach((name, i) => {
      scope[name] = real[i];
    });
  }
  return largest;
}

/** Notes the slowest input of a property and says it when the long run was asked for. */
export class Slowest {
  ms = 0;
  inputs = 0;
  accepted = 0;
  largestBytes = 0;
  note(startMs: number, isAccepted: boolean): void {
    this.inputs++;
    if (isAccepted) this.accepted++;
    this.ms = Math.max(this.ms, performance.now() - startMs);
  }
  tell(name: string): void {
    expect(this.inputs).toBeGreaterThan(0);
    if (process.env.ARCHLEDGER_FUZZ_RUNS)
      console.log(
        `${name}: ${this.inputs} inputs, ${this.accepted} accepted, slowest ${this.ms.toFixed(1)} ms, largest block ${this.largestBytes} bytes`,
      );
  }
}
