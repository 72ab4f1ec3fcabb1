import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import type { Jaw } from '../../../src/core/base/tooth.ts';
import { type ComparedScan, comparedScan } from '../../../src/core/compare/ComparedScan.ts';
import { compareCrowns } from '../../../src/core/compare/compareScans.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { refusalOf } from '../../support/refusal.ts';
import { hasSharedScans, sharedScan } from '../../support/sharedScans.ts';

const WHOLE = { missing: [], unerupted: [], thirdMolars: [] };

async function sample(name: string, jaw: Jaw) {
  const bytes = name.startsWith('arch-b')
    ? sharedScan('arch-b-upper')
    : new Uint8Array(readFileSync(new URL(`../../../sample-meshes/${name}`, import.meta.url)));
  const { mesh, facts } = await openScan(bytes, name);
  const { frame } = findArchFrame(mesh);
  return comparedScan({ sha256: facts.sha256, index: surfaceIndex(mesh), frame, said: WHOLE }, jaw);
}

const refused = (earlier: ComparedScan, later: ComparedScan, jaw: Jaw) =>
  refusalOf(async () => compareCrowns(earlier, later, jaw));

const lowRatio = (detail: Readonly<Record<string, unknown>>): number => {
  const ratios = Object.values(detail.matchedRatios as Record<string, number>).sort((a, b) => a - b);
  return ratios[Math.floor(ratios.length / 4)];
};

describe('two scans that are not of one arch', () => {
  it('are refused: another patient, the other jaw', async () => {
    const crowded = await sample('lower-crowded.ply', 'lower');
    const other = await refused(crowded, await sample('lower-aligned.ply', 'lower'), 'lower');
    expect(other.code).toBe('scans-unlike');
    expect(lowRatio(other.detail)).toBeLessThan(0.8);
    const upper = await refused(crowded, await sample('upper-spaced.ply', 'lower'), 'lower');
    expect(upper.code).toBe('scans-unlike');
    expect(lowRatio(upper.detail)).toBeLessThan(0.7);
  });

  it('are refused where too few crowns are said to stand on both', async () => {
    const crowded = await sample('lower-crowded.ply', 'lower');
    const few = new Map(
      [...crowded.crowns].filter(([tooth]) => tooth === 36 || tooth === 37 || tooth === 41),
    );
    const refusal = await refused(crowded, { ...crowded, crowns: few }, 'lower');
    expect(refusal.code).toBe('nothing-to-compare');
    expect(refusal.detail.teeth).toHaveLength(3);
  });

  it('are taken where they are: the same arch after a visit', async () => {
    const { measure } = compareCrowns(
      await sample('lower-crowded.ply', 'lower'),
      await sample('lower-crowded-visit-1.ply', 'lower'),
      'lower',
    );
    expect(measure.matchedRatio).toBeGreaterThan(0.95);
    expect([...measure.reference.teeth].sort()).toEqual([36, 37, 46, 47]);
  });

  it.skipIf(!hasSharedScans)('are refused: a real arch against a generated one', async () => {
    const refusal = await refused(
      await sample('arch-b-upper.stl', 'upper'),
      await sample('upper-crowded.stl', 'upper'),
      'upper',
    );
    expect(refusal.code).toBe('scans-unlike');
    expect(lowRatio(refusal.detail)).toBeLessThan(0.6);
  });
});
