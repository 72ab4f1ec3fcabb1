import { describe, expect, test } from 'vitest';
import { readScan } from '../../../../src/core/scan/readers/readScan.ts';
import { vertexNormals } from '../../../../src/core/scan/vertexNormals.ts';
import { weld } from '../../../../src/core/scan/weld.ts';
import { makeArchStrip, makeBox, makeSphere } from '../../../support/meshes.ts';
import { asciiStl, binaryStl, objOf, plyFile, plyOf, textBytes } from '../../../support/meshFiles.ts';
import { makeRandom } from '../../../support/random.ts';

const areaOf = (bytes: Uint8Array, name = 'a.ply'): number => {
  const raw = readScan(bytes, name);
  return vertexNormals(raw.positions, raw.indices).areaMm2;
};

/** Corner positions of all faces in file order: what a format must carry unchanged. */
const cornersOf = ({ positions, indices }: { positions: Float32Array; indices: Uint32Array }): number[] =>
  Array.from(indices).flatMap((v) => [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]]);

const ENCODINGS = ['ascii', 'binary_little_endian', 'binary_big_endian'] as const;

describe('known files', () => {
  test('the smallest PLY, (0,0,0) (2,0,0) (1,2,0), has area 2', () => {
    const file = [
      'ply',
      'format ascii 1.0',
      'element vertex 3',
      'property float x',
      'property float y',
      'property float z',
      'element face 1',
      'property list uchar int vertex_indices',
      'end_header',
      '0 0 0',
      '2 0 0',
      '1 2 0',
      '3 0 1 2',
    ].join('\n');
    expect(areaOf(textBytes(file))).toBe(2);
  });

  test('a unit box has area 6 in every format', () => {
    const box = makeBox();
    const files: [string, Uint8Array][] = [
      ['box.stl', binaryStl(box)],
      ['box.stl', asciiStl(box)],
      ['box.obj', objOf(box)],
      ...ENCODINGS.map((e): [string, Uint8Array] => ['box.ply', plyOf(box, e)]),
    ];
    for (const [name, bytes] of files) expect(areaOf(bytes, name)).toBe(6);
  });

  test('a binary STL is 84 + 50 n bytes and may begin with "solid"', () => {
    const bytes = binaryStl(makeBox(), 'solid but binary');
    expect(bytes.length).toBe(84 + 50 * 12);
    expect(readScan(bytes, 'x.stl').format).toBe('stl-binary');
  });
});

describe('round trips', () => {
  const mesh = makeArchStrip(2000, makeRandom(7));
  const written = cornersOf(mesh);
  test.each([
    ['stl-binary', binaryStl(mesh)],
    ['stl-ascii', asciiStl(mesh)],
    ['stl-ascii', asciiStl(mesh, '\r\n')],
    ['obj', objOf(mesh)],
    ['ply-ascii', plyOf(mesh, 'ascii')],
    ['ply-ascii', plyOf(mesh, 'ascii', '\r\n')],
    ['ply-ascii', plyOf(mesh, 'ascii', '\r')],
    ['ply-binary-le', plyOf(mesh, 'binary_little_endian')],
    ['ply-binary-be', plyOf(mesh, 'binary_big_endian')],
  ] as const)('%s keeps every corner bit for bit and the name does not matter', (format, bytes) => {
    const raw = readScan(bytes, 'no-extension');
    expect(raw.format).toBe(format);
    expect(cornersOf(raw)).toEqual(written);
  });
});

describe('PLY layouts', () => {
  const vertexRows = [
    [0, 0, 0],
    [4, 0, 0],
    [4, 3, 0],
    [0, 3, 0],
  ];

  test.each(ENCODINGS)('%s: every type, unknown properties and elements, colours, quads', (encoding) => {
    const types = ['char', 'uint8', 'short', 'uint16', 'int32', 'uint', 'float32', 'double'] as const;
    for (const type of types) {
      const bytes = plyFile(encoding, [
        { name: 'camera', columns: [{ name: 'focus', type: 'double' }], rows: [[1.5], [2.5]] },
        {
          name: 'vertex',
          columns: [
            { name: 'quality', type: 'short' },
            { name: 'z', type },
            { name: 'tags', type: 'ushort', countType: 'uchar' },
            { name: 'red', type: 'uchar' },
            { name: 'x', type },
            { name: 'green', type: 'uint8' },
            { name: 'blue', type: 'uchar' },
            { name: 'y', type },
          ],
          rows: vertexRows.map(([x, y, z], i) => [-7, z, i % 2 ? [1, 2] : [], 10 + i, x, 20 + i, 30 + i, y]),
        },
        {
          name: 'edge',
          columns: [
            { name: 'ends', type: 'int', countType: 'int8' },
            { name: 'w', type: 'float' },
          ],
          rows: [[[0, 1], 0.5]],
        },
        {
          name: 'face',
          columns: [
            { name: 'flags', type: 'uchar' },
            { name: 'vertex_index', type: 'uint', countType: 'char' },
            { name: 'texcoord', type: 'float', countType: 'uchar' },
          ],
          rows: [[1, [0, 1, 2, 3], [0.5, 0.5]]],
        },
      ]);
      const raw = readScan(bytes, 'a.ply');
      expect(vertexNormals(raw.positions, raw.indices).areaMm2).toBe(12);
      expect(raw.polygonCount).toBe(1);
      expect(Array.from(raw.colors!)).toEqual([10, 20, 30, 11, 21, 31, 12, 22, 32, 13, 23, 33]);
    }
  });

  test('a carriage return alone ends the header, and a first data byte of 10 stays data', () => {
    const bytes = plyFile(
      'binary_little_endian',
      [
        {
          name: 'vertex',
          columns: (['x', 'y', 'z'] as const).map((name) => ({ name, type: 'uchar' as const })),
          rows: [
            [10, 0, 0],
            [12, 0, 0],
            [11, 2, 0],
          ],
        },
        {
          name: 'face',
          columns: [{ name: 'vertex_indices', type: 'int', countType: 'uchar' }],
          rows: [[[0, 1, 2]]],
        },
      ],
      '\r',
    );
    expect(areaOf(bytes)).toBe(2);
  });

  test('faces may come before the vertices', () => {
    const bytes = textBytes(
      'ply\nformat ascii 1.0\nelement face 1\nproperty list uchar int vertex_indices\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nend_header\n3 0 1 2\n0 0 0\n2 0 0\n1 2 0\n',
    );
    expect(areaOf(bytes)).toBe(2);
  });

  test('an unknown element of 4 billion rows without properties costs nothing', () => {
    const bytes = textBytes(
      'ply\nformat ascii 1.0\nelement ghost 4294967295\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n2 0 0\n1 2 0\n3 0 1 2\n',
    );
    expect(areaOf(bytes)).toBe(2);
  });
});

describe('polygons', () => {
  /** Area by the shoelace formula. */
  const shoelace = (outline: readonly (readonly number[])[]): number =>
    Math.abs(
      outline.reduce((sum, [x, y], i) => {
        const [nx, ny] = outline[(i + 1) % outline.length];
        return sum + x * ny - nx * y;
      }, 0) / 2,
    );

  test.each([
    [
      'an arrow head',
      [
        [0, 0],
        [4, 4],
        [0, 1],
        [-4, 4],
      ],
    ],
    [
      'the same begun at the notch',
      [
        [0, 1],
        [-4, 4],
        [0, 0],
        [4, 4],
      ],
    ],
    [
      'a letter U, clockwise',
      [
        [0, 0],
        [0, 5],
        [1, 5],
        [1, 1],
        [4, 1],
        [4, 5],
        [5, 5],
        [5, 0],
      ],
    ],
    [
      'a regular octagon',
      Array.from({ length: 8 }, (_, i) => [Math.cos((i * Math.PI) / 4), Math.sin((i * Math.PI) / 4)]),
    ],
  ])('%s is cut without overlap, in OBJ and from any plane', (_, outline) => {
    for (const turn of [0, 1, 2]) {
      const points = outline.map(([x, y]) => [x, y, 0].map((_c, k) => [x, y, 0][(k + turn) % 3]));
      const file = `${points.map((p) => `v ${p.join(' ')}`).join('\n')}\nf ${points.map((_p, i) => i + 1).join(' ')}\n`;
      const raw = readScan(textBytes(file), 'a.obj');
      expect(raw.indices.length / 3).toBe(outline.length - 2);
      expect(vertexNormals(raw.positions, raw.indices).areaMm2).toBeCloseTo(shoelace(outline), 5);
    }
  });
});

describe('OBJ forms', () => {
  test('v, v/vt, v//vn, v/vt/vn, negative numbers, comments, and lines of no interest', () => {
    const vertices = '# two\nmtllib a.mtl\nv 0 0 0\nv 2 0 0\nvt 0 0\nvn 0 0 1\nv 1 2 0 1.0\n';
    const faces = ['1 2 3', '1/1 2/1 3/1', '1//1 2//1 3//1', '1/1/1 2/1/1 3/1/1', '-3 -2 -1', '1 2 3 # end'];
    for (const face of faces)
      expect(areaOf(textBytes(`${vertices}usemtl x\ns off\nf ${face}`), 'a.obj')).toBe(2);
  });
});

describe('text numbers', () => {
  test('are read as the language reads them, over 20,000 forms (seed 11)', () => {
    const random = makeRandom(11);
    const forms = Array.from({ length: 20_000 }, () => {
      const value = (random() - 0.5) * 10 ** Math.floor(random() * 20 - 10);
      const form = Math.floor(random() * 4);
      if (form === 0) return value.toFixed(Math.floor(random() * 12));
      if (form === 1) return value.toExponential(Math.floor(random() * 16));
      if (form === 2) return `+${Math.abs(value).toPrecision(1 + Math.floor(random() * 20))}`;
      return String(value);
    });
    while (forms.length % 3 !== 0) forms.push('0');
    const lines = Array.from(
      { length: forms.length / 3 },
      (_, i) => `v ${forms.slice(3 * i, 3 * i + 3).join(' ')}`,
    );
    const raw = readScan(textBytes(`${lines.join('\n')}\nf 1 2 3\n`), 'a.obj');
    expect(Array.from(raw.positions)).toEqual(forms.map((form) => Math.fround(Number(form))));
  });
});

describe('weld', () => {
  test('is the same as a Map of coordinates, over soups with repeats and both zeros (seed 5)', () => {
    const random = makeRandom(5);
    for (let round = 0; round < 20; round++) {
      const faces = 1 + Math.floor(random() * 400);
      const coordinate = () => (random() < 0.2 ? -0 : Math.floor(random() * 6) * 1.25);
      const positions = Float32Array.from({ length: faces * 9 }, coordinate);
      const indices = Uint32Array.from({ length: faces * 3 }, (_, i) => i);
      const known = new Map<string, number>();
      const expected = Array.from(indices, (v) => {
        const key = Array.from(positions.subarray(3 * v, 3 * v + 3), (c) => c + 0).join(' ');
        if (!known.has(key)) known.set(key, known.size);
        return known.get(key);
      });
      for (const bytes of [
        binaryStl({ positions, indices }),
        plyOf({ positions, indices }, 'binary_big_endian'),
      ]) {
        const welded = weld(readScan(bytes, 'soup'));
        expect(Array.from(welded.indices)).toEqual(expected);
        const keys = [...known.keys()].flatMap((key) => key.split(' ').map(Number));
        expect(Array.from(welded.positions)).toEqual(keys);
      }
    }
  });

  test('gives a closed sphere back its shared vertices: V = F / 2 + 2', () => {
    const sphere = makeSphere(10, 5);
    const welded = weld(readScan(binaryStl(sphere), 'a.stl'));
    expect(welded.positions.length / 3).toBe(sphere.indices.length / 6 + 2);
  });

  test('keeps the colour of the first of the vertices it joins, and counts vertices without a face', () => {
    const raw = {
      format: 'ply-ascii' as const,
      positions: Float32Array.from([0, 0, 0, 9, 9, 9, 1, 0, 0, 0, 1, 0, 1, 0, 0, 1, 1, 0]),
      indices: Uint32Array.from([0, 2, 3, 4, 5, 3]),
      colors: Uint8Array.from([1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4, 5, 5, 5, 6, 6, 6]),
      welded: false,
      polygonCount: 0,
    };
    const welded = weld(raw);
    expect(Array.from(welded.indices)).toEqual([0, 1, 2, 1, 3, 2]);
    expect(Array.from(welded.colors!)).toEqual([1, 1, 1, 3, 3, 3, 4, 4, 4, 6, 6, 6]);
    expect(welded.unusedVertexCount).toBe(1);
  });
});
