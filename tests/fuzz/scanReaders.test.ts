import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Refusal } from '../../src/core/base/refusal.ts';
import { openScan } from '../../src/core/scan/openScan.ts';
import type { RawMesh } from '../../src/core/scan/readers/RawMesh.ts';
import { readScan } from '../../src/core/scan/readers/readScan.ts';
import {
  edited,
  edits,
  FUZZ_TIMEOUT_MS,
  fuzzRuns,
  largestBlock,
  Slowest,
  settledOrRefusal,
  valueOrRefusal,
} from '../support/fuzz.ts';
import { makeBox } from '../support/meshes.ts';
import { asciiStl, binaryStl, objOf, plyFile, plyOf } from '../support/meshFiles.ts';

// Broken and malicious scan files: whatever the bytes, a reader gives a whole mesh or refuses, and asks for no more
// memory than the file could fill. ARCHLEDGER_FUZZ_RUNS=100000 npx vitest run tests/fuzz for a long run.

const box = makeBox(60, 50, 20);
const quads = [
  [0, 1, 2, 3],
  [4, 5, 6, 7, 0],
];
const corners = [
  ...[
    [0, 0, 0],
    [60, 0, 0],
    [60, 50, 0],
    [0, 50, 0],
  ],
  ...[
    [0, 0, 20],
    [60, 0, 20],
    [60, 50, 20],
    [0, 50, 20],
  ],
];
/** Every layout a reader has a path of its own for: doubles, colours, polygons, further elements and lists. */
const rich = (encoding: 'ascii' | 'binary_little_endian' | 'binary_big_endian'): Uint8Array =>
  plyFile(encoding, [
    {
      name: 'vertex',
      columns: [
        { name: 'x', type: 'double' },
        { name: 'y', type: 'float' },
        { name: 'z', type: 'int' },
        ...(['red', 'green', 'blue'] as const).map((name) => ({ name, type: 'uchar' as const })),
        { name: 'near', type: 'short', countType: 'uchar' },
      ],
      rows: corners.map(([x, y, z]) => [x, y, z, 200, 190, 180, [1, 2]]),
    },
    { name: 'edge', columns: [{ name: 'a', type: 'ushort' }], rows: [[1], [2]] },
    {
      name: 'face',
      columns: [
        { name: 'flag', type: 'char' },
        { name: 'vertex_indices', type: 'uint', countType: 'ushort' },
      ],
      rows: quads.map((quad) => [1, quad]),
    },
  ]);

const SOURCES: readonly (readonly [string, Uint8Array])[] = [
  ['a.stl', binaryStl(box)],
  ['a.stl', asciiStl(box)],
  ['a.ply', plyOf(box, 'ascii')],
  ['a.ply', plyOf(box, 'binary_little_endian')],
  ['a.ply', plyOf(box, 'binary_big_endian')],
  ['a.ply', rich('ascii')],
  ['a.ply', rich('binary_little_endian')],
  ['a.ply', rich('binary_big_endian')],
  ['a.obj', objOf(box)],
];

/** Bytes a reader may ask for at once by each byte of the file, and in any case: growing lists begin at some size. */
const BLOCK_PER_BYTE = 64;
const BLOCK_ANYWAY = 1 << 16;

function expectWhole(mesh: RawMesh): void {
  const vertexCount = mesh.positions.length / 3;
  expect(mesh.indices.length % 3).toBe(0);
  expect(mesh.indices.length).toBeGreaterThan(0);
  expect(Number.isInteger(vertexCount)).toBe(true);
  expect(mesh.positions.every(Number.isFinite)).toBe(true);
  expect(mesh.indices.every((index) => index < vertexCount)).toBe(true);
  if (mesh.colors) expect(mesh.colors.length).toBe(mesh.positions.length);
}

/** Reads a file within memory of its size; true for a mesh, which is whole, false for a refusal. */
function readWithin(bytes: Uint8Array, name: string, slowest: Slowest): boolean {
  let read: RawMesh | Refusal | null = null;
  const block = largestBlock(() => {
    read = valueOrRefusal(() => readScan(bytes, name));
  });
  slowest.largestBytes = Math.max(slowest.largestBytes, block);
  expect(block).toBeLessThanOrEqual(BLOCK_PER_BYTE * bytes.length + BLOCK_ANYWAY);
  if ((read as unknown) instanceof Refusal) return false;
  expectWhole(read as unknown as RawMesh);
  return true;
}

describe('readers of scan files', () => {
  it('take whole meshes or refuse, whatever is done to a file, within memory of its size', {
    timeout: FUZZ_TIMEOUT_MS,
  }, async () => {
    const slowest = new Slowest();
    await fc.assert(
      fc.asyncProperty(
        fc.nat(SOURCES.length - 1),
        fc.nat(SOURCES.length - 1),
        edits,
        async (i, j, changes) => {
          const [name, source] = SOURCES[i];
          const bytes = edited(source, changes, SOURCES[j][1]);
          const startMs = performance.now();
          const isMesh = readWithin(bytes, name, slowest);
          // What was read goes the whole way: repair, unit, normals, index, checksum.
          if (isMesh) await settledOrRefusal(() => openScan(bytes, name));
          slowest.note(startMs, isMesh);
        },
      ),
      fuzzRuns(1500),
    );
    slowest.tell('edited scan files');
    expect(slowest.largestBytes).toBeGreaterThan(0); // the blocks are seen at all
    expect(slowest.accepted).toBeGreaterThan(0);
  });

  it('refuse bytes without any order, whatever they begin with', { timeout: FUZZ_TIMEOUT_MS }, () => {
    const slowest = new Slowest();
    const heads = [
      '',
      'solid x\n',
      'ply\nformat ascii 1.0\n',
      'ply\nformat binary_little_endian 1.0\n',
      'v 0 0 0\nf ',
    ];
    fc.assert(
      fc.property(
        fc.constantFrom(...heads),
        fc.uint8Array({ maxLength: 600 }),
        fc.constantFrom('a.stl', 'a.ply', 'a.obj', 'a'),
        (head, tail, name) => {
          const bytes = new Uint8Array([...new TextEncoder().encode(head), ...tail]);
          const startMs = performance.now();
          const isMesh = readWithin(bytes, name, slowest);
          slowest.note(startMs, isMesh);
        },
      ),
      fuzzRuns(1500),
    );
    slowest.tell('random bytes');
  });
});
