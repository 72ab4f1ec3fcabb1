import { Refusal } from '../../base/refusal.ts';
import { VertexTable } from '../VertexTable.ts';
import type { RawMesh, ReadProgress } from './RawMesh.ts';
import { MAX_TRIANGLES } from './RawMesh.ts';

const HEADER_BYTES = 84;
const FACET_BYTES = 50;
const PROGRESS_EVERY = 1 << 17;

/** Size in bytes of a binary STL with `triangleCount` triangles. */
export const binaryStlBytes = (triangleCount: number): number => HEADER_BYTES + FACET_BYTES * triangleCount;

/** The triangle count a binary STL header promises; 0 where there is no room for one. */
export function binaryStlCount(bytes: Uint8Array): number {
  if (bytes.length < HEADER_BYTES) return 0;
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(80, true);
}

/**
 * Reads a binary STL, welding equal corners on the way; the normals in the file are not used.
 *
 * Refuses:  'file-truncated', 'count-mismatch' (size is not 84 + 50 n), 'no-triangles',
 *           'number-invalid' (a corner that is NaN or infinite, with its byte), 'file-too-large'.
 * Source:   80-byte header, uint32 count, 50 bytes per facet, little-endian by custom.
 */
export function readBinaryStl(bytes: Uint8Array, onProgress?: ReadProgress): RawMesh {
  const count = checkedCount(bytes);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  // A closed mesh has half as many vertices as faces; a soup makes the table grow.
  const table = new VertexTable(Math.ceil(count * 0.52) + 1024);
  const indices = new Uint32Array(count * 3);
  let at = HEADER_BYTES + 12;
  let corner = 0;
  for (let face = 0; face < count; face++) {
    for (let k = 0; k < 3; k++, at += 12) {
      const x = view.getInt32(at, true);
      const y = view.getInt32(at + 4, true);
      const z = view.getInt32(at + 8, true);
      const known = table.count;
      const vertex = table.number(x, y, z);
      // Only a position met for the first time can be the first bad one.
      if (vertex === known && (isBad(x) || isBad(y) || isBad(z))) refuseNumber(view, at, face);
      indices[corner++] = vertex;
    }
    at += 14;
    if (onProgress && face % PROGRESS_EVERY === 0) onProgress(face / count);
  }
  const positions = table.positions();
  return { format: 'stl-binary', positions, indices, colors: null, welded: true, polygonCount: 0 };
}

const isBad = (bits: number): boolean => (bits & 0x7f800000) === 0x7f800000;

function checkedCount(bytes: Uint8Array): number {
  if (bytes.length < HEADER_BYTES) {
    throw new Refusal(
      'file-truncated',
      `readBinaryStl: file ends inside its header; got ${bytes.length} bytes, need ${HEADER_BYTES} and 50 more for each triangle. Copy or export the scan again.`,
      { byte: bytes.length },
    );
  }
  const count = binaryStlCount(bytes);
  const promised = binaryStlBytes(count);
  const counts = `got ${bytes.length} bytes, need ${promised} for the ${count} triangles its header promises (byte 80)`;
  if (bytes.length < promised) {
    throw new Refusal(
      'file-truncated',
      `readBinaryStl: file ends early at byte ${bytes.length}; ${counts}. Copy or export the scan again.`,
      { byte: bytes.length, promised, triangles: count },
    );
  }
  if (bytes.length > promised) {
    throw new Refusal(
      'count-mismatch',
      `readBinaryStl: the triangle count does not fit the file; ${counts}. Export the scan again.`,
      { byte: 80, promised, triangles: count },
    );
  }
  if (count === 0) {
    throw new Refusal(
      'no-triangles',
      'readBinaryStl: the file holds no surface; got 0 triangles (byte 80), need at least 1. Export the scan again.',
      { byte: 80 },
    );
  }
  if (count > MAX_TRIANGLES) {
    throw new Refusal(
      'file-too-large',
      `readBinaryStl: too many triangles; got ${count}, need at most ${MAX_TRIANGLES}. Reduce the mesh before opening it.`,
      { triangles: count },
    );
  }
  return count;
}

function refuseNumber(view: DataView, at: number, face: number): never {
  const byte = [at, at + 4, at + 8].find((offset) => isBad(view.getInt32(offset, true))) ?? at;
  const found = String(view.getFloat32(byte, true));
  throw new Refusal(
    'number-invalid',
    `readBinaryStl: a corner of triangle ${face} is not a number at byte ${byte}; got ${found}, need a finite number. Export the scan again.`,
    { byte, triangle: face, found },
  );
}
