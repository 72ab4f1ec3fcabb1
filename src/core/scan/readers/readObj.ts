import { Refusal } from '../../base/refusal.ts';
import { GrowableFloats, GrowableIndices } from './Growable.ts';
import { MAX_TRIANGLES, type RawMesh, type ReadProgress } from './RawMesh.ts';
import { readVertex } from './readVertex.ts';
import { TextCursor } from './TextCursor.ts';
import { MAX_POLYGON_CORNERS, triangulate } from './triangulate.ts';

const PROGRESS_EVERY = 1 << 16;
const SLASH = 47;

/**
 * Reads the surface of an OBJ file: `v` and `f` lines (v, v/vt, v//vn, v/vt/vn, negative numbers, polygons);
 * everything else is passed over.
 *
 * Refuses:  'number-invalid', 'index-out-of-range', 'count-mismatch' (a face with too few or too many corners),
 *           'file-truncated', 'no-triangles', 'file-too-large'; each names the line.
 */
export function readObj(bytes: Uint8Array, onProgress?: ReadProgress): RawMesh {
  const cursor = new TextCursor(bytes, 'readObj');
  const floats = new GrowableFloats();
  const corners = new GrowableIndices();
  const polygons: number[][] = [];
  let largest = { vertex: -1, byte: 0 };
  let lines = 0;
  while (!cursor.atEnd) {
    cursor.skipBlanks();
    const key = bytes[cursor.offset];
    const isWord = bytes[cursor.offset + 1] === 32 || bytes[cursor.offset + 1] === 9;
    if (key === 118 && isWord) {
      cursor.offset++;
      readVertex(cursor, floats);
    } else if (key === 102 && isWord) {
      const start = cursor.offset++;
      const face = readFace(cursor, floats.length / 3, start);
      for (const vertex of face) if (vertex > largest.vertex) largest = { vertex, byte: start };
      if (face.length === 3) corners.push3(face[0], face[1], face[2]);
      else polygons.push(face);
    }
    cursor.nextLine();
    if (onProgress && ++lines % PROGRESS_EVERY === 0) onProgress(cursor.offset / bytes.length);
  }
  const positions = floats.toArray();
  if (largest.vertex >= positions.length / 3)
    refuseIndex(cursor, largest.byte, largest.vertex + 1, positions.length / 3);
  for (const polygon of polygons) triangulate(polygon, positions, (a, b, c) => corners.push3(a, b, c));
  if (corners.length === 0) {
    throw new Refusal(
      'no-triangles',
      `readObj: the file holds no surface; got ${positions.length / 3} vertices and 0 faces, need at least 1 face. Export the scan as a mesh, not as points.`,
    );
  }
  if (corners.length / 3 > MAX_TRIANGLES) {
    throw new Refusal(
      'file-too-large',
      `readObj: too many triangles; got ${corners.length / 3}, need at most ${MAX_TRIANGLES}. Reduce the mesh before opening it.`,
    );
  }
  const indices = corners.toArray();
  return { format: 'obj', positions, indices, colors: null, welded: false, polygonCount: polygons.length };
}

/** The corners of one `f` line, 0-based; a negative number counts back from the last vertex so far. */
function readFace(cursor: TextCursor, vertexCount: number, start: number): number[] {
  const { bytes } = cursor;
  const face: number[] = [];
  while (!cursor.atLineEnd() && bytes[cursor.offset] !== 35) {
    const wordStart = cursor.offset;
    const negative = bytes[cursor.offset] === 45;
    if (negative) cursor.offset++;
    let value = 0;
    let digits = 0;
    for (let byte = bytes[cursor.offset]; byte >= 48 && byte <= 57; byte = bytes[++cursor.offset]) {
      value = value * 10 + byte - 48;
      digits++;
    }
    const end = bytes[cursor.offset];
    if (digits === 0 || digits > 10 || !(cursor.atEnd || end <= 32 || end === SLASH)) {
      cursor.offset = wordStart;
      cursor.skipWord();
      const line = cursor.lineAt(start);
      throw new Refusal(
        'number-invalid',
        `readObj: a corner of a face is not a vertex number in line ${line}; got "${cursor.textOf(wordStart, Math.min(cursor.offset, wordStart + 40))}", need a whole number. Export the scan again.`,
        { line, byte: wordStart },
      );
    }
    const vertex = negative ? vertexCount - value : value - 1;
    if (value === 0 || vertex < 0) refuseIndex(cursor, start, negative ? -value : value, vertexCount);
    face.push(vertex);
    if (face.length > MAX_POLYGON_CORNERS) break;
    cursor.skipWord();
  }
  if (face.length < 3 || face.length > MAX_POLYGON_CORNERS) {
    if (face.length < 3 && cursor.atEnd) cursor.refuseEnd('the rest of a face');
    const line = cursor.lineAt(start);
    throw new Refusal(
      'count-mismatch',
      `readObj: a face cannot be a polygon in line ${line}; got ${face.length} corners, need 3 to ${MAX_POLYGON_CORNERS}. Export the scan again.`,
      { line, corners: face.length },
    );
  }
  return face;
}

function refuseIndex(cursor: TextCursor, byte: number, found: number, vertexCount: number): never {
  const line = cursor.lineAt(byte);
  throw new Refusal(
    'index-out-of-range',
    `readObj: a face names a vertex that is not there in line ${line}; got ${found}, need 1 to ${vertexCount}. Export the scan again.`,
    { line, found, vertexCount },
  );
}
