import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { findCrowns } from '../../../src/core/crowns/findCrowns.ts';
import { proposeMarks } from '../../../src/core/marks/proposeMarks.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { makeMesh } from '../../support/meshes.ts';
import { binaryStl } from '../../support/meshFiles.ts';
import type { BenchCase } from '../BenchCase.ts';
import { stockLoad } from '../stock.ts';

const WHOLE = { missing: [], unerupted: [], thirdMolars: [] };

const stage = (name: string, triangles: number, which: 'frame' | 'crowns' | 'all'): BenchCase => ({
  name,
  triangles,
  rounds: 5,
  setUp() {
    const arch = makeArch({ jaw: 'lower', seed: 4, crowdingMm: 3, triangles });
    const mesh = makeMesh(arch.mesh.positions, arch.mesh.indices);
    const bytes = binaryStl(arch.mesh);
    const index = surfaceIndex(mesh);
    const { frame } = findArchFrame(mesh);
    return {
      ours: () => {
        if (which === 'frame') return findArchFrame(mesh);
        if (which === 'crowns') return findCrowns(mesh, frame, 'lower', WHOLE);
        return proposeMarks(index, findArchFrame(mesh).frame, 'lower', WHOLE);
      },
      reference: () => stockLoad(bytes),
    };
  },
});

/** A whole arch proposed, against the stock load of the same file; the share of each stage beside it. */
export const cases: readonly BenchCase[] = [200_000, 1_000_000].flatMap((triangles) => [
  stage('propose: arch frame (stock: load)', triangles, 'frame'),
  stage('propose: crowns (stock: load)', triangles, 'crowns'),
  stage('propose: frame, crowns and contact points (stock: load)', triangles, 'all'),
]);
