type Surface = { readonly positions: ArrayLike<number>; readonly indices: ArrayLike<number> };

const text = (content: string): Uint8Array => new TextEncoder().encode(content);

/** A binary STL with zero normals. */
export function binaryStl({ positions, indices }: Surface, header = ''): Uint8Array {
  const count = indices.length / 3;
  const bytes = new Uint8Array(84 + 50 * count);
  bytes.set(text(header).subarray(0, 80));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, count, true);
  for (let face = 0, at = 84; face < count; face++, at += 50) {
    for (let k = 0; k < 3; k++) {
      for (let axis = 0; axis < 3; axis++) {
        view.setFloat32(at + 12 + 12 * k + 4 * axis, positions[3 * indices[3 * face + k] + axis], true);
      }
    }
  }
  return bytes;
}

/** A text STL. */
export function asciiStl({ positions, indices }: Surface, newline = '\n'): Uint8Array {
  const lines = ['solid arch'];
  for (let i = 0; i < indices.length; i += 3) {
    lines.push('  facet normal 0 0 0', '    outer loop');
    for (let k = 0; k < 3; k++) {
      const p = 3 * indices[i + k];
      lines.push(`      vertex ${positions[p]} ${positions[p + 1]} ${positions[p + 2]}`);
    }
    lines.push('    endloop', '  endfacet');
  }
  lines.push('endsolid arch', '');
  return text(lines.join(newline));
}

export type PlyEncoding = 'ascii' | 'binary_little_endian' | 'binary_big_endian';

const PLY_WRITERS = {
  char: [1, 'setInt8'],
  int8: [1, 'setInt8'],
  uchar: [1, 'setUint8'],
  uint8: [1, 'setUint8'],
  short: [2, 'setInt16'],
  int16: [2, 'setInt16'],
  ushort: [2, 'setUint16'],
  uint16: [2, 'setUint16'],
  int: [4, 'setInt32'],
  int32: [4, 'setInt32'],
  uint: [4, 'setUint32'],
  uint32: [4, 'setUint32'],
  float: [4, 'setFloat32'],
  float32: [4, 'setFloat32'],
  double: [8, 'setFloat64'],
  float64: [8, 'setFloat64'],
} as const;

export type PlyTypeName = keyof typeof PLY_WRITERS;

export interface PlyColumn {
  readonly name: string;
  readonly type: PlyTypeName;
  readonly countType?: PlyTypeName; // of a list
}

export interface PlyTable {
  readonly name: string;
  readonly columns: readonly PlyColumn[];
  /** One entry a row; a list column has an array in its place. */
  readonly rows: readonly (readonly (number | readonly number[])[])[];
}

/** A PLY file with the given elements, written value by value. */
export function plyFile(encoding: PlyEncoding, tables: readonly PlyTable[], newline = '\n'): Uint8Array {
  const header = ['ply', `format ${encoding} 1.0`, 'comment made for a test'];
  for (const { name, columns, rows } of tables) {
    header.push(`element ${name} ${rows.length}`);
    for (const { name: column, type, countType } of columns) {
      header.push(`property ${countType ? `list ${countType} ` : ''}${type} ${column}`);
    }
  }
  const head = text([...header, 'end_header', ''].join(newline));
  if (encoding === 'ascii') {
    const lines = tables.flatMap(({ rows }) =>
      rows.map((row) => row.map((v) => (typeof v === 'number' ? v : [v.length, ...v].join(' '))).join(' ')),
    );
    const body = text([...lines, ''].join(newline));
    return joined(head, body);
  }
  const values: [PlyTypeName, number][] = [];
  for (const { columns, rows } of tables) {
    for (const row of rows) {
      columns.forEach(({ type, countType }, i) => {
        const value = row[i];
        if (typeof value === 'number') values.push([type, value]);
        else {
          values.push([countType!, value.length]);
          for (const item of value) values.push([type, item]);
        }
      });
    }
  }
  const body = new Uint8Array(values.reduce((sum, [type]) => sum + PLY_WRITERS[type][0], 0));
  const view = new DataView(body.buffer);
  let at = 0;
  for (const [type, value] of values) {
    const [size, setter] = PLY_WRITERS[type];
    view[setter](at, value, encoding === 'binary_little_endian');
    at += size;
  }
  return joined(head, body);
}

/** The plain layout: x y z as float, faces as a list of int. */
export function plyOf(mesh: Surface, encoding: PlyEncoding, newline = '\n'): Uint8Array {
  const rows = (list: ArrayLike<number>) =>
    Array.from({ length: list.length / 3 }, (_, i) => [list[3 * i], list[3 * i + 1], list[3 * i + 2]]);
  return plyFile(
    encoding,
    [
      {
        name: 'vertex',
        columns: ['x', 'y', 'z'].map((name) => ({ name, type: 'float' as const })),
        rows: rows(mesh.positions),
      },
      {
        name: 'face',
        columns: [{ name: 'vertex_indices', type: 'int', countType: 'uchar' }],
        rows: rows(mesh.indices).map((corners) => [corners]),
      },
    ],
    newline,
  );
}

/** An OBJ file with v and f lines. */
export function objOf({ positions, indices }: Surface): Uint8Array {
  const lines = ['# an arch', 'o arch'];
  for (let i = 0; i < positions.length; i += 3) {
    lines.push(`v ${positions[i]} ${positions[i + 1]} ${positions[i + 2]}`);
  }
  for (let i = 0; i < indices.length; i += 3) {
    lines.push(`f ${indices[i] + 1} ${indices[i + 1] + 1} ${indices[i + 2] + 1}`);
  }
  return text(`${lines.join('\n')}\n`);
}

export function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

export { text as textBytes };
