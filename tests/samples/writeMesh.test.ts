import { describe, expect, it } from 'vitest';
import { writePly, writeStl } from '../../src/samples/writeMesh.ts';

const tetrahedron = {
  positions: Float32Array.of(0, 0, 0, 1, 0, 0, 0, 2, 0, 0, 0, 3),
  indices: Uint32Array.of(0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3),
};

describe('writeStl', () => {
  it('writes 84 + 50 bytes a face, the count at byte 80, corners and a unit normal by the right-hand rule', () => {
    const bytes = writeStl(tetrahedron);
    const view = new DataView(bytes.buffer);
    expect(bytes.length).toBe(84 + 4 * 50);
    expect(view.getUint32(80, true)).toBe(4);
    expect([0, 4, 8].map((o) => view.getFloat32(84 + o, true))).toEqual([0, 0, -1]); // face 0 2 1 looks down
    expect([12, 16, 20].map((o) => view.getFloat32(84 + 12 + o, true))).toEqual([0, 2, 0]);
    expect(new TextDecoder().decode(bytes.subarray(0, 5))).not.toBe('solid');
  });
});

describe('writePly', () => {
  it('writes a header, 12 bytes a vertex and 13 a face', () => {
    const bytes = writePly(tetrahedron);
    const text = new TextDecoder('latin1').decode(bytes);
    const body = text.indexOf('end_header\n') + 11;
    expect(text).toContain('element vertex 4\n');
    expect(text).toContain('element face 4\n');
    expect(bytes.length).toBe(body + 4 * 12 + 4 * 13);
    const view = new DataView(bytes.buffer);
    expect(view.getFloat32(body + 12 * 3 + 8, true)).toBe(3);
    expect(bytes[body + 48]).toBe(3);
    expect([1, 5, 9].map((o) => view.getInt32(body + 48 + 13 + o, true))).toEqual([0, 1, 3]);
  });
});
