import { describe, expect, it } from 'vitest';
import { archFrame, pointInArch } from '../../../src/core/arch/ArchFrame.ts';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { archPlace, type Jaw } from '../../../src/core/base/tooth.ts';
import { findCrowns, type TeethSaid } from '../../../src/core/crowns/findCrowns.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import { crownOverlap, faceAreas, mean } from '../../support/crownOverlap.ts';
import { closedCrowns, crownsInGum } from '../../support/crownsInGum.ts';
import { makeMesh } from '../../support/meshes.ts';
import { hasSharedScans, type SharedScan, sharedFaceTeeth, sharedScan } from '../../support/sharedScans.ts';

const WHOLE: TeethSaid = { missing: [], unerupted: [], thirdMolars: [] };

const openShared = async (name: SharedScan) => {
  const { mesh } = await openScan(sharedScan(name), `${name}.stl`);
  const teeth = sharedFaceTeeth(name);
  expect(mesh.indices.length / 3, 'no face was dropped, so labels stay in file order').toBe(teeth.length);
  return { mesh, teeth };
};

/** Shares counted in faces, the stricter way (faces are smallest along margins); by area they are printed beside. */
const overlapOf = (
  mesh: ScanMesh,
  jaw: Jaw,
  faceTooth: ArrayLike<number>,
  frame = findArchFrame(mesh).frame,
) => {
  const found = findCrowns(mesh, frame, jaw, WHOLE);
  const overlap = crownOverlap(found, faceTooth, new Float32Array(faceTooth.length).fill(1));
  const byArea = crownOverlap(found, faceTooth, faceAreas(mesh.positions, mesh.indices));
  console.info(
    [...overlap].map(([tooth, share]) => `${tooth} ${share.toFixed(2)}`).join('  '),
    ` mean ${mean(overlap.values()).toFixed(3)}, by area ${mean(byArea.values()).toFixed(3)}`,
  );
  return { found, overlap };
};

// Labels: see the scans' own README; a label border is good to a triangle or two.
describe.skipIf(!hasSharedScans)('crowns of real surfaces', () => {
  it('finds and names all fourteen teeth of a whole real arch', async () => {
    const { mesh, teeth } = await openShared('arch-b-upper');
    const { found, overlap } = overlapOf(mesh, 'upper', teeth);
    expect(found.crowns.map((c) => c.tooth)).toEqual([
      17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27,
    ]);
    expect(mean(overlap.values())).toBeGreaterThan(0.85);
    expect(Math.min(...overlap.values())).toBeGreaterThan(0.7);
  });

  // These crowns lie with the occlusal direction along ∓y; given here so that only the crowns are on trial.
  const cases = [
    ['crowns-a-upper', 'upper', archFrame([0, 0, 0], [0, -1, 0], [0, 0, 1])],
    ['crowns-a-lower', 'lower', archFrame([0, 0, 0], [0, 1, 0], [0, 0, 1])],
  ] as const;

  it.each(cases)('tells separate crowns apart without gum: %s', async (name, jaw) => {
    const { mesh, teeth } = await openShared(name);
    const { overlap } = overlapOf(mesh, jaw, teeth);
    expect(mean(overlap.values())).toBeGreaterThan(0.98);
    expect(Math.min(...overlap.values())).toBeGreaterThan(0.95);
  });

  it.each(cases)('tells real crowns from a gum made by the test: %s', async (name, jaw, frame) => {
    const { mesh, teeth } = await openShared(name);
    const crowns = [...closedCrowns(mesh.positions, mesh.indices, teeth, (p) => pointInArch(frame, p))];
    crowns.sort((a, b) => archPlace(a.tooth) - archPlace(b.tooth));
    const set = await crownsInGum(crowns);
    const { overlap } = overlapOf(makeMesh(set.positions, set.indices), jaw, set.faceTooth);
    expect(mean(overlap.values())).toBeGreaterThan(0.9);
    expect(Math.min(...overlap.values())).toBeGreaterThan(0.7);
  });

  it('does not depend on pose or on the order of faces', async () => {
    const { mesh } = await openShared('arch-b-upper');
    const frame = findArchFrame(mesh).frame;
    const plain = findCrowns(mesh, frame, 'upper', WHOLE);
    const [c, s] = [Math.cos(2), Math.sin(2)];
    const turn = ([x, y, z]: readonly number[]) => [c * x - s * z + 12, y - 31, s * x + c * z + 5] as const;
    const moved = new Float32Array(mesh.positions.length);
    for (let i = 0; i < moved.length; i += 3)
      moved.set(turn(mesh.positions.slice(i, i + 3) as unknown as number[]), i);
    const faces = mesh.indices.length / 3;
    const order = Uint32Array.from({ length: faces }, (_, f) => (f * 7919) % faces);
    const indices = Uint32Array.from(
      { length: 3 * faces },
      (_, i) => mesh.indices[3 * order[Math.floor(i / 3)] + (i % 3)],
    );
    const direction = (v: readonly number[]) => {
      const [ox, oy, oz] = turn([0, 0, 0]);
      const [x, y, z] = turn(v);
      return [x - ox, y - oy, z - oz] as const;
    };
    const movedFrame = archFrame(turn(frame.originMm), direction(frame.occlusal), direction(frame.forward));
    const other = findCrowns(makeMesh(moved, indices), movedFrame, 'upper', WHOLE);
    expect(other.crowns.map((x) => x.tooth)).toEqual(plain.crowns.map((x) => x.tooth));
    let differing = 0;
    for (let f = 0; f < faces; f++) if (other.faceCrown[f] !== plain.faceCrown[order[f]]) differing++;
    expect(differing / faces).toBeLessThan(0.02); // only faces on borders, where the thinning grid falls otherwise
  });

  it('respects what the chart says of missing teeth', async () => {
    const { mesh } = await openShared('arch-b-upper');
    const found = findCrowns(mesh, findArchFrame(mesh).frame, 'upper', { ...WHOLE, missing: [12, 22] });
    expect(found.crowns.map((c) => c.tooth)).not.toContain(12);
    expect(found.crowns.map((c) => c.tooth)).not.toContain(22);
  });
});
