import { Refusal } from '../../base/refusal.ts';
import { GrowableFloats } from './Growable.ts';
import { MAX_TRIANGLES, type RawMesh, type ReadProgress } from './RawMesh.ts';
import { readVertex } from './readVertex.ts';
import { TextCursor } from './TextCursor.ts';

const PROGRESS_EVERY = 1 << 14;

/**
 * Reads a text STL; the normals in the file are not used, several solids become one mesh.
 *
 * Refuses:  'number-invalid', 'count-mismatch' (a facet without exactly three corners), 'header-invalid' (a word
 *           that does not belong, with its line), 'file-truncated' (no endsolid), 'no-triangles', 'file-too-large'.
 */
export function readAsciiStl(bytes: Uint8Array, onProgress?: ReadProgress): RawMesh {
  const cursor = new TextCursor(bytes, 'readAsciiStl');
  const floats = new GrowableFloats();
  let corners = 0;
  let inSolid = false;
  let inFacet = false;
  let faces = 0;
  for (let word = cursor.word(); word !== ''; word = cursor.word()) {
    if (word === 'vertex' && inFacet) {
      readVertex(cursor, floats);
      corners++;
    } else if (word === 'facet' && inSolid && !inFacet) {
      inFacet = true;
      corners = 0;
      skipNormal(cursor);
    } else if (word === 'endfacet' && inFacet) {
      if (corners !== 3) refuseCorners(cursor, corners);
      inFacet = false;
      faces++;
      if (faces > MAX_TRIANGLES) refuseSize();
      if (onProgress && faces % PROGRESS_EVERY === 0) onProgress(cursor.offset / bytes.length);
    } else if (word === 'outer' || word === 'loop' || word === 'endloop') {
      if (!inFacet) refuseWord(cursor, word);
    } else if (word === 'solid' && !inSolid) {
      inSolid = true;
      cursor.nextLine();
    } else if (word === 'endsolid' && inSolid && !inFacet) {
      inSolid = false;
      cursor.nextLine();
    } else {
      refuseWord(cursor, word);
    }
  }
  if (inFacet) cursor.refuseEnd('"endfacet"');
  if (inSolid) cursor.refuseEnd('"endsolid"');
  if (faces === 0) {
    throw new Refusal(
      'no-triangles',
      `readAsciiStl: the file holds no surface; got 0 facets in ${cursor.lineAt()} lines, need at least 1. Export the scan again.`,
    );
  }
  const positions = floats.toArray();
  const indices = Uint32Array.from({ length: faces * 3 }, (_, i) => i);
  return { format: 'stl-ascii', positions, indices, colors: null, welded: false, polygonCount: 0 };
}

/** Passes over "normal" and its three numbers, whatever they are: some programs write nan there. */
function skipNormal(cursor: TextCursor): void {
  const word = cursor.word();
  if (word !== 'normal') refuseWord(cursor, word);
  for (let i = 0; i < 3; i++) {
    cursor.skipWhite();
    cursor.skipWord();
  }
}

function refuseCorners(cursor: TextCursor, corners: number): never {
  const line = cursor.lineAt();
  throw new Refusal(
    'count-mismatch',
    `readAsciiStl: the facet that ends in line ${line} is not a triangle; got ${corners} vertices, need 3. Export the scan again.`,
    { line, corners },
  );
}

function refuseWord(cursor: TextCursor, word: string): never {
  if (cursor.atEnd) cursor.refuseEnd('the rest of a facet');
  const line = cursor.lineAt(cursor.offset - 1);
  throw new Refusal(
    'header-invalid',
    `readAsciiStl: a word that does not belong in line ${line}; got "${word}", need the next part of a facet. Export the scan again.`,
    { line, found: word },
  );
}

function refuseSize(): never {
  throw new Refusal(
    'file-too-large',
    `readAsciiStl: too many triangles; got more than ${MAX_TRIANGLES}, need at most that. Reduce the mesh before opening it.`,
  );
}
