import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Refusal, type RefusalCode } from '../../../../src/core/base/refusal.ts';
import { readScan } from '../../../../src/core/scan/readers/readScan.ts';
import { makeArchStrip, makeBox } from '../../../support/meshes.ts';
import { asciiStl, binaryStl, joined, objOf, plyOf, textBytes } from '../../../support/meshFiles.ts';
import { refusalOf } from '../../../support/refusal.ts';

const box = makeBox(60, 50, 20);

/** A copy with some bytes changed. */
function changed(bytes: Uint8Array, change: (view: DataView) => void): Uint8Array {
  const copy = bytes.slice();
  change(new DataView(copy.buffer));
  return copy;
}

const ply = (lines: readonly string[], data = ''): Uint8Array =>
  textBytes(`${['ply', ...lines, 'end_header'].join('\n')}\n${data}`);
const FLOATS = ['property float x', 'property float y', 'property float z'];
const LIST = 'property list uchar int vertex_indices';
const asciiPly = (vertices: string, faces: string, vertexCount = 3, faceCount = 1): Uint8Array =>
  ply(
    ['format ascii 1.0', `element vertex ${vertexCount}`, ...FLOATS, `element face ${faceCount}`, LIST],
    `${vertices}\n${faces}\n`,
  );
const binaryPly = plyOf(box, 'binary_little_endian');
const plyDataAt = binaryPly.length - 12 * 13 - 8 * 12;

const broken: readonly (readonly [string, Uint8Array, string, RefusalCode, RegExp])[] = [
  ['nothing', new Uint8Array(0), 'a.stl', 'file-empty', /0 bytes/],
  ['a zip', textBytes('PK\x03\x04 and more'), 'a.stl', 'format-unknown', /zip archive/],
  ['a PDF', textBytes('%PDF-1.7'), 'a.ply', 'format-unknown', /PDF/],
  ['a letter', textBytes('Dear colleague, here is the scan.'), 'a.stl', 'format-unknown', /other text/],
  [
    'random binary',
    Uint8Array.from({ length: 300 }, (_, i) => (i * 37) % 256),
    'a.bin',
    'format-unknown',
    /binary/,
  ],
  ['a binary STL cut', binaryStl(box).subarray(0, 500), 'a.stl', 'file-truncated', /byte 500/],
  ['a binary STL header cut', binaryStl(box).subarray(0, 60), 'a.stl', 'file-truncated', /60 bytes/],
  [
    'a binary STL with bytes to spare',
    joined(binaryStl(box), new Uint8Array(7)),
    'a.stl',
    'count-mismatch',
    /byte 80/,
  ],
  [
    'a 4-billion count in a tiny STL',
    changed(binaryStl(box), (v) => v.setUint32(80, 0xffffffff, true)),
    'a.stl',
    'file-truncated',
    /4294967295 triangles/,
  ],
  ['an STL of no triangles', new Uint8Array(84), 'a.stl', 'no-triangles', /0 triangles/],
  [
    'NaN in a binary STL',
    changed(binaryStl(box), (v) => v.setFloat32(84 + 50 + 12 + 4, Number.NaN, true)),
    'a.stl',
    'number-invalid',
    /byte 150; got NaN/,
  ],
  [
    'infinity in a binary STL',
    changed(binaryStl(box), (v) => v.setFloat32(84 + 12, Number.NEGATIVE_INFINITY, true)),
    'a.stl',
    'number-invalid',
    /byte 96; got -Infinity/,
  ],
  ['a text STL cut', asciiStl(box).subarray(0, 700), 'a.stl', 'file-truncated', /line \d+/],
  ['a text STL of nothing', textBytes('solid x\nendsolid x\n'), 'a.stl', 'no-triangles', /0 facets/],
  [
    'nan in a text STL',
    textBytes('solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 0 nan 0\n'),
    'a.stl',
    'number-invalid',
    /line 5 .*"nan"/,
  ],
  [
    'a number beyond float32 in a text STL',
    textBytes('solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 1e39\n'),
    'a.stl',
    'number-invalid',
    /line 4/,
  ],
  [
    'a facet of two corners',
    textBytes('solid\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 0 1 0\nendloop\nendfacet\n'),
    'a.stl',
    'count-mismatch',
    /line 7 .*got 2/,
  ],
  [
    'a stray word in a text STL',
    textBytes('solid x\nfacet normal 0 0 1\nhello\n'),
    'a.stl',
    'header-invalid',
    /"hello"/,
  ],
  ['a PLY without a format', ply(['element vertex 1']), 'a.ply', 'header-invalid', /format/],
  ['a PLY of a strange format', ply(['format binary_mixed 1.0']), 'a.ply', 'header-invalid', /line 2/],
  [
    'a PLY of a strange type',
    ply(['format ascii 1.0', 'element vertex 1', 'property half x']),
    'a.ply',
    'header-invalid',
    /line 4/,
  ],
  [
    'a PLY with a count that is none',
    ply(['format ascii 1.0', 'element vertex -3']),
    'a.ply',
    'header-invalid',
    /line 3/,
  ],
  [
    'a PLY header cut',
    textBytes('ply\nformat ascii 1.0\nelement vertex 3\n'),
    'a.ply',
    'file-truncated',
    /end_header/,
  ],
  [
    'a PLY without positions',
    ply(['format ascii 1.0', 'element vertex 1', 'property float u'], '1\n'),
    'a.ply',
    'header-invalid',
    /x, y and z/,
  ],
  [
    '4 billion vertices in a tiny PLY',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '3 0 1 2', 4294967295),
    'a.ply',
    'file-truncated',
    /4294967295/,
  ],
  [
    '4 billion faces in a tiny binary PLY',
    joined(
      ply([
        'format binary_little_endian 1.0',
        'element vertex 1',
        ...FLOATS,
        'element face 4294967295',
        LIST,
      ]),
      new Uint8Array(12),
    ),
    'a.ply',
    'file-truncated',
    /4294967295/,
  ],
  [
    'a list of 4 billion in a tiny binary PLY',
    joined(
      ply([
        'format binary_little_endian 1.0',
        'element vertex 1',
        ...FLOATS,
        'element face 1',
        'property list uint int vertex_index',
      ]),
      new Uint8Array(12),
      Uint8Array.from([255, 255, 255, 255, 0, 0, 0, 0]),
    ),
    'a.ply',
    'file-truncated',
    /4294967295/,
  ],
  ['a PLY row too short', asciiPly('0 0\n2 0 0\n1 2 0', '3 0 1 2'), 'a.ply', 'number-invalid', /line 10/],
  ['a PLY row too long', asciiPly('0 0 0 5\n2 0 0\n1 2 0', '3 0 1 2'), 'a.ply', 'count-mismatch', /line 10/],
  [
    'a PLY with rows to spare',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '3 0 1 2\n3 0 1 2'),
    'a.ply',
    'count-mismatch',
    /line 14/,
  ],
  [
    'a PLY with rows missing',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '3 0 1 2', 4),
    'a.ply',
    'count-mismatch',
    /line 13/,
  ],
  [
    'a PLY cut at the end',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '3 0 1', 3, 1),
    'a.ply',
    'number-invalid',
    /line 13/,
  ],
  ['inf in a PLY', asciiPly('0 0 0\n2 inf 0\n1 2 0', '3 0 1 2'), 'a.ply', 'number-invalid', /line 11/],
  [
    'a PLY index too large',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '3 0 1 3'),
    'a.ply',
    'index-out-of-range',
    /got 3, need 0 to 2/,
  ],
  [
    'a negative PLY index',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '3 0 1 -1'),
    'a.ply',
    'index-out-of-range',
    /negative/,
  ],
  [
    'a PLY index that is no whole number',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '3 0 1 1.5'),
    'a.ply',
    'index-out-of-range',
    /broken/,
  ],
  [
    'a PLY quad index too large',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '4 0 1 2 9'),
    'a.ply',
    'index-out-of-range',
    /got 9/,
  ],
  [
    'a PLY face of two corners',
    asciiPly('0 0 0\n2 0 0\n1 2 0', '2 0 1'),
    'a.ply',
    'count-mismatch',
    /line 13; got 2/,
  ],
  [
    'a PLY of points',
    ply(['format ascii 1.0', 'element vertex 1', ...FLOATS], '1 2 3\n'),
    'a.ply',
    'no-triangles',
    /1 vertex/,
  ],
  ['a binary PLY cut', binaryPly.subarray(0, binaryPly.length - 5), 'a.ply', 'file-truncated', /byte|bytes/],
  [
    'a binary PLY with bytes to spare',
    joined(binaryPly, Uint8Array.from([1, 2, 3])),
    'a.ply',
    'count-mismatch',
    /3 bytes more/,
  ],
  [
    'NaN in a binary PLY',
    changed(binaryPly, (v) => v.setFloat32(plyDataAt + 16, Number.NaN, true)),
    'a.ply',
    'number-invalid',
    new RegExp(`byte ${plyDataAt + 16}; got NaN`),
  ],
  [
    'an OBJ index too large',
    textBytes('v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n'),
    'a.obj',
    'index-out-of-range',
    /line 4; got 4/,
  ],
  [
    'an OBJ index of zero',
    textBytes('v 0 0 0\nv 1 0 0\nv 0 1 0\nf 0 1 2\n'),
    'a.obj',
    'index-out-of-range',
    /got 0/,
  ],
  [
    'an OBJ index too far back',
    textBytes('v 0 0 0\nv 1 0 0\nv 0 1 0\nf -4 1 2\n'),
    'a.obj',
    'index-out-of-range',
    /got -4/,
  ],
  [
    'an OBJ face of two corners',
    textBytes('v 0 0 0\nv 1 0 0\nf 1 2\nv 0 0 0\n'),
    'a.obj',
    'count-mismatch',
    /line 3; got 2/,
  ],
  ['a word in an OBJ', textBytes('v 0 zero 0\n'), 'a.obj', 'number-invalid', /"zero"/],
  [
    'a word in an OBJ face',
    textBytes('v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 x\n'),
    'a.obj',
    'number-invalid',
    /"x"/,
  ],
  ['an OBJ of points', textBytes('v 0 0 0\nv 1 0 0\nv 0 1 0\n'), 'a.obj', 'no-triangles', /3 vertices/],
];

describe('broken files', () => {
  test.each(broken)('%s is refused', async (_what, bytes, name, code, message) => {
    const refusal = await refusalOf(() => readScan(bytes, name));
    expect([refusal.code, refusal.message]).toEqual([code, expect.stringMatching(message)]);
    expect(refusal.message).toMatch(/^\w+: .+; got .+, need .+\. .+\.$/);
  });

  test('a file beyond the size limit is refused before it is looked at', async () => {
    const huge = Object.create(Uint8Array.prototype, { length: { value: 3e9 } });
    expect((await refusalOf(() => readScan(huge, 'a.stl'))).code).toBe('file-too-large');
  });
});

describe('fuzzing: nothing but a Refusal, whatever the bytes', () => {
  const tolerated = (bytes: Uint8Array, name: string): void => {
    try {
      const raw = readScan(bytes, name);
      const vertexCount = raw.positions.length / 3;
      if (!raw.indices.every((v) => v < vertexCount)) throw new Error('index out of range');
      if (!raw.positions.every(Number.isFinite)) throw new Error('position not finite');
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
    }
  };
  const names = fc.constantFrom('a.stl', 'a.ply', 'a.obj', 'a');

  test('random bytes (seed 1)', () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 600 }), names, tolerated), { seed: 1, numRuns: 1500 });
  });

  test('random words of each format (seed 2)', () => {
    const word = fc.constantFrom(
      ...'solid facet normal outer loop vertex endloop endfacet endsolid ply format ascii 1.0 element face'.split(
        ' ',
      ),
      ...'property float list uchar int x y z vertex_indices end_header v f vn 1 -1 0 3 1e9 4294967295 1/2/3 nan'.split(
        ' ',
      ),
      ...['binary_little_endian', 'binary_big_endian', 'comment', '\n', '\n', '\n', '\r\n', '\r', '\0', '#'],
    );
    const opening = fc.constantFrom('', 'solid x\n', 'ply\n', 'ply\nformat ascii 1.0\n', 'v 0 0 0\n');
    fc.assert(
      fc.property(opening, fc.array(word, { maxLength: 60 }), names, (start, words, name) =>
        tolerated(textBytes(start + words.join(' ')), name),
      ),
      { seed: 2, numRuns: 3000 },
    );
  });

  const strip = makeArchStrip(120);
  const files = [
    binaryStl(strip),
    asciiStl(strip),
    objOf(strip),
    ...(['ascii', 'binary_little_endian', 'binary_big_endian'] as const).map((e) => plyOf(strip, e)),
  ];

  test('valid files with bytes changed, cut out, doubled or cut off (seed 3)', () => {
    const mutation = fc.record({
      kind: fc.constantFrom('set', 'cut', 'double', 'end'),
      at: fc.double({ min: 0, max: 1, noNaN: true }),
      length: fc.nat(40),
      bytes: fc.uint8Array({ minLength: 1, maxLength: 8 }),
    });
    fc.assert(
      fc.property(
        fc.nat(files.length - 1),
        fc.array(mutation, { minLength: 1, maxLength: 4 }),
        names,
        (which, mutations, name) => {
          let bytes: Uint8Array = files[which].slice();
          for (const { kind, at, length, bytes: patch } of mutations) {
            // Headers are where the counts are: half of all changes go there.
            const start = Math.floor(
              at < 0.5 ? at * 2 * Math.min(400, bytes.length) : (at - 0.5) * 2 * bytes.length,
            );
            if (kind === 'set')
              bytes.set(patch.subarray(0, Math.max(0, bytes.length - start)), Math.min(start, bytes.length));
            else if (kind === 'cut') bytes = joined(bytes.subarray(0, start), bytes.subarray(start + length));
            else if (kind === 'double')
              bytes = joined(bytes.subarray(0, start + length), bytes.subarray(start));
            else bytes = bytes.slice(0, start);
          }
          tolerated(bytes, name);
        },
      ),
      { seed: 3, numRuns: 3000 },
    );
  });
});
