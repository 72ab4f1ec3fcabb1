import { archFrame, pointInArch } from '../../../src/core/arch/ArchFrame.ts';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { archPlace, type Jaw } from '../../../src/core/base/tooth.ts';
import { findCrowns } from '../../../src/core/crowns/findCrowns.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import { crownOverlap } from '../../support/crownOverlap.ts';
import { closedCrowns, crownsInGum } from '../../support/crownsInGum.ts';
import { makeMesh } from '../../support/meshes.ts';
import { hasSharedScans, type SharedScan, sharedFaceTeeth, sharedScan } from '../../support/sharedScans.ts';
import type { AccuracyGroup, AccuracyRow } from '../AccuracyRow.ts';

const TEST = 'tests/core/crowns/findCrowns.test.ts';
const WHOLE = { missing: [], unerupted: [], thirdMolars: [] };

/** Overlaps of all labelled teeth, counted in faces as the test does. */
function row(
  on: string,
  overlaps: readonly number[],
  [meanBound, leastBound]: readonly [number, number],
): AccuracyRow {
  const mean = overlaps.reduce((a, b) => a + b, 0) / overlaps.length;
  const least = Math.min(...overlaps);
  return {
    what: 'Crown regions: overlap with labelled faces (shared ÷ joined faces)',
    surface: 'real',
    on,
    n: overlaps.length,
    typical: `mean ${mean.toFixed(2)}`,
    worst: `least ${least.toFixed(2)}`,
    bound: `mean ${meanBound}, least ${leastBound}`,
    holds: mean >= meanBound && least >= leastBound,
    test: TEST,
  };
}

export const crowns: AccuracyGroup = {
  name: 'crowns',
  rows: async (progress) => {
    if (!hasSharedScans) return [];
    const ones = (teeth: readonly number[]) => new Float32Array(teeth.length).fill(1);
    const open = async (name: SharedScan) => {
      progress(name);
      return {
        mesh: (await openScan(sharedScan(name), `${name}.stl`)).mesh,
        teeth: sharedFaceTeeth(name),
      };
    };
    const b = await open('arch-b-upper');
    const whole = findCrowns(b.mesh, findArchFrame(b.mesh).frame, 'upper', WHOLE);
    const inGum: number[] = [];
    const apart: number[] = [];
    const lie = [
      ['crowns-a-upper', 'upper', archFrame([0, 0, 0], [0, -1, 0], [0, 0, 1])],
      ['crowns-a-lower', 'lower', archFrame([0, 0, 0], [0, 1, 0], [0, 0, 1])],
    ] as const satisfies readonly (readonly [SharedScan, Jaw, unknown])[];
    for (const [name, jaw, frame] of lie) {
      const { mesh, teeth } = await open(name);
      const alone = findCrowns(mesh, findArchFrame(mesh).frame, jaw, WHOLE);
      apart.push(...crownOverlap(alone, teeth, ones(teeth)).values());
      const own = [...closedCrowns(mesh.positions, mesh.indices, teeth, (p) => pointInArch(frame, p))];
      own.sort((x, y) => archPlace(x.tooth) - archPlace(y.tooth));
      const set = await crownsInGum(own);
      const made = makeMesh(set.positions, set.indices);
      const found = findCrowns(made, findArchFrame(made).frame, jaw, WHOLE);
      inGum.push(...crownOverlap(found, set.faceTooth, ones([...set.faceTooth])).values());
    }
    return [
      row(
        'one whole arch as scanned',
        [...crownOverlap(whole, b.teeth, ones(b.teeth)).values()],
        [0.85, 0.7],
      ),
      row('two arches of separate crowns without gum', apart, [0.98, 0.95]),
      row('the same real crowns set into a made gum', inGum, [0.9, 0.7]),
    ];
  },
};
