import { describe, expect, it } from 'vitest';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import type { Tooth } from '../../../src/core/base/tooth.ts';
import { distance, type Vec3 } from '../../../src/core/base/Vec3.ts';
import type { CrownCorrections } from '../../../src/core/crowns/crownCorrections.ts';
import { type CrownMap, findCrowns, type TeethSaid } from '../../../src/core/crowns/findCrowns.ts';
import { proposeMarks } from '../../../src/core/marks/proposeMarks.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { crownOverlap, mean } from '../../support/crownOverlap.ts';
import { makeMesh } from '../../support/meshes.ts';
import { refusalOf } from '../../support/refusal.ts';
import { hasSharedScans, sharedFaceTeeth, sharedScan } from '../../support/sharedScans.ts';

const WHOLE: TeethSaid = { missing: [], unerupted: [], thirdMolars: [] };

const centreOfFace = ({ positions: p, indices }: ScanMesh, f: number): Vec3 => {
  const at = (k: number) => [0, 1, 2].reduce((sum, i) => sum + p[3 * indices[3 * f + i] + k], 0) / 3;
  return [at(0), at(1), at(2)];
};

/** The middle of the label's face that lies nearest to the mean of all its faces. */
function labelCentre(mesh: ScanMesh, faceTooth: ArrayLike<number>, tooth: Tooth): Vec3 {
  const centres: Vec3[] = [];
  for (let f = 0; f < faceTooth.length; f++) if (faceTooth[f] === tooth) centres.push(centreOfFace(mesh, f));
  const middle = [0, 1, 2].map((k) => mean(centres.map((c) => c[k]))) as unknown as Vec3;
  return centres.reduce((a, b) => (distance(b, middle) < distance(a, middle) ? b : a));
}

/** Overlaps in faces. */
const overlaps = (found: CrownMap, faceTooth: ArrayLike<number>) =>
  crownOverlap(found, faceTooth, new Float32Array(faceTooth.length).fill(1));

const click = (tooth: Tooth, pointMm: Vec3): CrownCorrections => ({
  seeds: [{ tooth, pointMm }],
  painted: [],
});

function makeSetting(seed = 78) {
  const arch = makeArch({ jaw: 'lower', seed, crowdingMm: 2, triangles: 90_000, noiseMm: 0.01 });
  const mesh = makeMesh(arch.mesh.positions, arch.mesh.indices);
  const { frame } = findArchFrame(mesh);
  const crowns = (said: TeethSaid, corrections?: CrownCorrections) =>
    findCrowns(mesh, frame, 'lower', said, undefined, corrections);
  return { mesh, frame, labels: arch.labels, crowns };
}

describe('corrected crowns of a generated arch', () => {
  const { mesh, frame, labels, crowns } = makeSetting();

  it.each([36, 42, 33, 47])('a tooth %i said to be missing by mistake is found by one click', (tooth) => {
    const said = { ...WHOLE, missing: [tooth] };
    expect(crowns(said).crowns.map((c) => c.tooth)).not.toContain(tooth);
    const found = crowns(said, click(tooth, labelCentre(mesh, labels, tooth)));
    const shares = overlaps(found, labels);
    console.info(`${tooth}: ${shares.get(tooth)?.toFixed(3)}, all ${mean(shares.values()).toFixed(3)}`);
    expect(shares.get(tooth)).toBeGreaterThan(0.85);
    expect(mean(shares.values())).toBeGreaterThan(0.85);
  });

  it('where crowding hides a crown, one click on it comes near what a right chart finds', () => {
    const hard = makeSetting(77); // 42 stands behind its neighbours: overlap 0.76 with a right chart
    const at = labelCentre(hard.mesh, hard.labels, 42);
    const right = overlaps(hard.crowns(WHOLE), hard.labels).get(42) ?? 0;
    const clicked = hard.crowns({ ...WHOLE, missing: [42] }, click(42, at));
    const share = overlaps(clicked, hard.labels).get(42) ?? 0;
    console.info(`42 hidden: right chart ${right.toFixed(3)}, click ${share.toFixed(3)}`);
    expect(share).toBeGreaterThan(right - 0.06);
  });

  it('a click gives the surface its name, whatever was found there before', () => {
    const at = labelCentre(mesh, labels, 36);
    const clicked = Array.from(labels).findIndex(
      (t, f) => t === 36 && distance(centreOfFace(mesh, f), at) === 0,
    );
    const nameAt = (map: CrownMap) => map.crowns[map.faceCrown[clicked] - 1]?.tooth;
    expect(nameAt(crowns(WHOLE))).toBe(36);
    expect(nameAt(crowns(WHOLE, click(37, at)))).toBe(37);
    expect(nameAt(crowns(WHOLE, click(33, at)))).toBe(33);
    expect(nameAt(crowns(WHOLE, click(75, at)))).toBe(75); // a primary tooth the chart has no place for
  });

  it('painting gum inside a crown takes it away, painting beyond it adds it', () => {
    const plain = crowns(WHOLE);
    const k = plain.crowns.findIndex((c) => c.tooth === 46) + 1;
    const at = labelCentre(mesh, labels, 46);
    const inBall = (middle: Vec3, radiusMm: number, f: number) =>
      distance(centreOfFace(mesh, f), middle) < radiusMm - 0.4;
    const faces = labels.length;
    const without = crowns(WHOLE, { seeds: [], painted: [{ tooth: 0, pointMm: at, radiusMm: 1.5 }] });
    let [inside, taken] = [0, 0];
    for (let f = 0; f < faces; f++) {
      if (plain.faceCrown[f] !== k || !inBall(at, 1.5, f)) continue;
      inside++;
      if (without.faceCrown[f] === 0) taken++;
    }
    expect(inside).toBeGreaterThan(20);
    expect(taken / inside).toBeGreaterThan(0.95);
    // The gum face nearest to the crown's middle: just beyond its margin.
    let beyond = -1;
    for (let f = 0; f < faces; f++) {
      const far = distance(centreOfFace(mesh, f), at);
      const best = beyond < 0 ? Infinity : distance(centreOfFace(mesh, beyond), at);
      if (plain.faceCrown[f] === 0 && far < best) beyond = f;
    }
    const pointMm = centreOfFace(mesh, beyond);
    const more = crowns(WHOLE, { seeds: [], painted: [{ tooth: 46, pointMm, radiusMm: 1.5 }] });
    expect(plain.faceCrown[beyond]).toBe(0);
    expect(more.faceCrown[beyond]).toBe(k);
    const areaOf = (map: CrownMap) => map.crowns.find((c) => c.tooth === 46)?.areaMm2 ?? 0;
    expect(areaOf(more)).toBeGreaterThan(areaOf(plain) + 1);
    expect(areaOf(without)).toBeLessThan(areaOf(plain) - 3);
    // Later painting counts over earlier.
    const back = crowns(WHOLE, {
      seeds: [],
      painted: [
        { tooth: 46, pointMm, radiusMm: 1.5 },
        { tooth: 0, pointMm, radiusMm: 1.5 },
      ],
    });
    expect(back.faceCrown[beyond]).toBe(0);
  });

  it('gives the same crowns each time, and untouched ones without corrections', () => {
    const said = click(36, labelCentre(mesh, labels, 36));
    expect(Buffer.from(crowns(WHOLE, said).faceCrown).equals(crowns(WHOLE, said).faceCrown)).toBe(true);
    const none = crowns(WHOLE, { seeds: [], painted: [] });
    expect(Buffer.from(none.faceCrown).equals(crowns(WHOLE).faceCrown)).toBe(true);
  });

  it('refuses a tooth of the other jaw and a place beside the surface', async () => {
    const at = labelCentre(mesh, labels, 36);
    expect((await refusalOf(() => crowns(WHOLE, click(16, at)))).code).toBe('jaw-mismatch');
    const far: Vec3 = [at[0] + 200, at[1], at[2]];
    expect((await refusalOf(() => crowns(WHOLE, click(36, far)))).code).toBe('no-surface-near');
  });

  it('proposes the marks of the tooth that was asked for only', () => {
    const index = surfaceIndex(mesh);
    const at = labelCentre(mesh, labels, 36);
    const said = { ...WHOLE, missing: [36] };
    const options = { corrections: click(36, at), only: [36] };
    const { marks, crowns: map } = proposeMarks(index, frame, 'lower', said, undefined, options);
    expect(marks.map((m) => [m.tooth, m.site])).toEqual([
      [36, 'mesial'],
      [36, 'distal'],
      [36, 'cusp'],
    ]);
    expect(map.crowns.length).toBe(14);
  });
});

describe.skipIf(!hasSharedScans)('corrected crowns of a real arch', () => {
  const setting = async () => {
    const { mesh } = await openScan(sharedScan('arch-b-upper'), 'arch-b-upper.stl');
    const labels = sharedFaceTeeth('arch-b-upper');
    const teeth = [...new Set(labels)].filter((t) => t > 0).sort((a, b) => a - b);
    const clicks = teeth.map((tooth) => ({ tooth, pointMm: labelCentre(mesh, labels, tooth) }));
    return { mesh, labels, clicks, frame: findArchFrame(mesh).frame };
  };

  it('one click alone brings back each tooth that the chart withholds', async () => {
    const { mesh, labels, clicks, frame } = await setting();
    const shares = clicks.map((seed) => {
      const said = { ...WHOLE, missing: [seed.tooth] };
      const corrections = { seeds: [seed], painted: [] };
      const found = findCrowns(mesh, frame, 'upper', said, undefined, corrections);
      return [seed.tooth, overlaps(found, labels).get(seed.tooth) ?? 0] as const;
    });
    console.info(shares.map(([tooth, share]) => `${tooth} ${share.toFixed(2)}`).join('  '));
    console.info(`one click each: mean ${mean(shares.map((s) => s[1])).toFixed(3)}`);
    expect(mean(shares.map((s) => s[1]))).toBeGreaterThan(0.85);
    expect(Math.min(...shares.map((s) => s[1]))).toBeGreaterThan(0.7);
  });

  it('clicks on all crowns at once tell them apart', async () => {
    const { mesh, labels, clicks, frame } = await setting();
    const found = findCrowns(mesh, frame, 'upper', WHOLE, undefined, { seeds: clicks, painted: [] });
    const shares = overlaps(found, labels);
    console.info(`clicks on all: mean ${mean(shares.values()).toFixed(3)}`, ...shares.values());
    expect(mean(shares.values())).toBeGreaterThan(0.85);
  });
});
