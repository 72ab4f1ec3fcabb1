import { Refusal } from '../../base/refusal.ts';
import { VertexTable } from '../VertexTable.ts';
import type { RawMesh, ReadProgress } from './RawMesh.ts';
import { MAX_TRIANGLES } from './RawMesh.ts';

const HEADER_BYTES = 84;
const FACET_BYTES = 50;
const NORMAL_BYTES = 12;
const BLOCK_FACES = 1 << 17; // between two reports of progress

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
  for (let face = 0; face < count; face += BLOCK_FACES) {
    const known = table.count;
    const block = indices.subarray(3 * face, 3 * Math.min(count, face + BLOCK_FACES));
    const firstByte = HEADER_BYTES + FACET_BYTES * face + NORMAL_BYTES;
    table.numberFaces(view, firstByte, FACET_BYTES, block);
    // Only a position met for the first time can be the first bad one.
    const bad = table.firstNotFinite(known);
    if (bad >= 0) refuseNumber(view, 3 * face + block.indexOf(bad));
    onProgress?.(face / count);
  }
  const positions = table.positions();
  return { format: 'stl-binary', positions, indices, colors: null, welded: true, polygonCount: 0 };
}

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

function refuseNumber(view: DataView, corner: number): never {
  const face = Math.floor(corner / 3);
  const at = HEADER_BYTES + FACET_BYTES * face + NORMAL_BYTES + 12 * (corner % 3);
  const byte = [at, at + 4, at + 8].find((offset) => !Number.isFinite(view.getFloat32(offset, true))) ?? at;
  const found = String(view.getFloat32(byte, true));
  throw new Refusal(
    'number-invalid',
    `readBinaryStl: a corner of triangle ${face} is not a number at byte ${byte}; got ${found}, need a finite number. Export the scan again.`,
    { byte, triangle: face, found },
  );
}
