import { PLYLoader } from 'three/examples/jsm/loaders/PLYLoader.js';
import { readPly } from '../../../src/core/scan/readers/readPly.ts';
import { makeArchStrip } from '../../support/meshes.ts';
import { plyOf } from '../../support/meshFiles.ts';
import { makeRandom } from '../../support/random.ts';
import type { BenchCase } from '../BenchCase.ts';

const plyCase = (encoding: 'ascii' | 'binary_little_endian', triangles: number): BenchCase => ({
  name: `read a PLY, ${encoding.replaceAll('_', ' ')}`,
  triangles,
  rounds: 5,
  setUp() {
    const bytes = plyOf(makeArchStrip(triangles, makeRandom(1)), encoding);
    return {
      ours: () => readPly(bytes),
      reference: () => new PLYLoader().parse(bytes.buffer as ArrayBuffer),
    };
  },
});

export const cases: readonly BenchCase[] = [
  plyCase('binary_little_endian', 200_000),
  plyCase('binary_little_endian', 1_000_000),
  plyCase('ascii', 200_000),
];
