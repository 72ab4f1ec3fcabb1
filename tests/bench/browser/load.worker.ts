import { expose } from 'comlink';
import { readBinaryStl } from '../../../src/core/scan/readers/readBinaryStl.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { vertexNormals } from '../../../src/core/scan/vertexNormals.ts';
import { weld } from '../../../src/core/scan/weld.ts';
import { makeArchStrip } from '../../support/meshes.ts';
import { binaryStl } from '../../support/meshFiles.ts';
import { makeRandom } from '../../support/random.ts';
import { stockLoad } from '../stock.ts';

const makeFile = (triangles: number): Uint8Array => binaryStl(makeArchStrip(triangles, makeRandom(1)));

function oursLoad(bytes: Uint8Array): unknown {
  const { positions, indices, colors } = weld(readBinaryStl(bytes));
  const mesh: ScanMesh = { positions, indices, colors, normals: vertexNormals(positions, indices).normals };
  return surfaceIndex(mesh);
}

const consumed: unknown[] = [null];

function times(body: () => unknown, runs: number): number[] {
  return Array.from({ length: runs }, () => {
    const start = performance.now();
    consumed[0] = body();
    return performance.now() - start;
  });
}

const work = {
  /** Times of both ways in turn; the first turn is left out. */
  load(triangles: number, rounds: number): { ours: number[]; stock: number[] } {
    const bytes = makeFile(triangles);
    const runs = Math.max(1, Math.round(1_000_000 / triangles));
    const ours: number[] = [];
    const stock: number[] = [];
    for (let round = -1; round < rounds; round++) {
      const oursTurn = times(() => oursLoad(bytes), runs);
      const stockTurn = times(() => stockLoad(bytes), runs);
      if (round < 0) continue;
      ours.push(...oursTurn);
      stock.push(...stockTurn);
    }
    return { ours, stock };
  },
  file: (triangles: number): File => new File([makeFile(triangles).slice()], 'arch.stl'),
};

export type LoadWork = typeof work;

expose(work);
