import { openScan } from '../../../src/core/scan/openScan.ts';
import { readBinaryStl } from '../../../src/core/scan/readers/readBinaryStl.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import { type SurfaceIndex, surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { vertexNormals } from '../../../src/core/scan/vertexNormals.ts';
import { weld } from '../../../src/core/scan/weld.ts';
import { makeArchStrip } from '../../support/meshes.ts';
import { binaryStl } from '../../support/meshFiles.ts';
import { makeRandom } from '../../support/random.ts';
import { type BenchCase, SIZES } from '../BenchCase.ts';
import { stockLoad, stockWeld } from '../stock.ts';

const roundsOf = (triangles: number): number => (triangles > 1_500_000 ? 5 : 7);

/** Bytes → welded, with normals, indexed, pickable: the same result as the stock way, nothing more. */
function load(bytes: Uint8Array): SurfaceIndex {
  const { positions, indices, colors } = weld(readBinaryStl(bytes));
  const mesh: ScanMesh = { positions, indices, colors, normals: vertexNormals(positions, indices).normals };
  return surfaceIndex(mesh);
}

const stripFile = (triangles: number): Uint8Array => binaryStl(makeArchStrip(triangles, makeRandom(1)));

/** The same faces in random order, as no scanner writes them: the worst case for memory. */
function shuffledFile(triangles: number): Uint8Array {
  const mesh = makeArchStrip(triangles, makeRandom(1));
  const random = makeRandom(2);
  const indices = mesh.indices.slice();
  for (let face = indices.length / 3 - 1; face > 0; face--) {
    const other = Math.floor(random() * (face + 1));
    for (let k = 0; k < 3; k++) {
      [indices[3 * face + k], indices[3 * other + k]] = [indices[3 * other + k], indices[3 * face + k]];
    }
  }
  return binaryStl({ positions: mesh.positions, indices });
}

const loadCase = (name: string, triangles: number, file: (n: number) => Uint8Array): BenchCase => ({
  name,
  triangles,
  rounds: roundsOf(triangles),
  setUp() {
    const bytes = file(triangles);
    return { ours: () => load(bytes), reference: () => stockLoad(bytes) };
  },
});

const openCase = (triangles: number): BenchCase => ({
  name: 'open: load with checks, repairs, shape and SHA-256 (stock: load only)',
  triangles,
  rounds: roundsOf(triangles),
  setUp() {
    const bytes = stripFile(triangles);
    return { ours: () => openScan(bytes, 'arch.stl'), reference: () => stockLoad(bytes) };
  },
});

const weldCase = (triangles: number): BenchCase => ({
  name: 'parse and weld a binary STL',
  triangles,
  rounds: 5,
  setUp() {
    const bytes = stripFile(triangles);
    return { ours: () => weld(readBinaryStl(bytes)), reference: () => stockWeld(bytes) };
  },
});

export const cases: readonly BenchCase[] = [
  ...SIZES.map((n) => loadCase('load: bytes to pickable', n, stripFile)),
  loadCase('load, faces in random order', 1_000_000, shuffledFile),
  ...SIZES.map(openCase),
  weldCase(1_000_000),
];
