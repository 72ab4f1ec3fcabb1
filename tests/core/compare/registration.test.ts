import { describe, expect, it } from 'vitest';
import { rms, worst } from '../../accuracy/AccuracyRow.ts';
import { realErrors } from '../../support/followUpExperiment.ts';
import { archPair } from '../../support/followUpPair.ts';
import { hasSharedScans } from '../../support/sharedScans.ts';

// A real arch with its gum; each crown moved by a known motion, then other triangles, noise of 0.01 mm on
// either scan and another pose. Nothing is cut.
describe.skipIf(!hasSharedScans)('a real arch laid over itself', () => {
  it('tells the motion of every crown, and that no enamel is gone', async () => {
    const pair = await archPair('arch-b-upper', { seed: 1, triangles: 80_000 });
    const { comparison, movedMm, turnedDeg, surfaces } = realErrors(pair);
    const { measure } = comparison;
    expect(movedMm.length).toBe(14);
    expect(rms(movedMm)).toBeLessThan(0.03);
    expect(worst(movedMm)).toBeLessThan(0.15);
    expect(rms(turnedDeg)).toBeLessThan(0.4);
    expect(worst(turnedDeg)).toBeLessThan(1);
    // Molars stood still, and are found to have.
    expect(measure.reference.kind).toBe('teeth');
    expect([...measure.reference.teeth].sort()).toEqual([16, 17, 26, 27]);
    expect(measure.reference.rmsMm).toBeLessThan(0.02);
    expect(measure.residualRmsMm).toBeLessThan(0.03); // √2 times the noise, and triangles
    expect(measure.matchedRatio).toBeGreaterThan(0.95);
    // Walls seen whole on both scans have not changed.
    const clean = measure.teeth.flatMap(({ doubts, enamelGone }) =>
      doubts.length === 0 ? enamelGone.flatMap((gone) => gone ?? []) : [],
    );
    for (const { valueMm, sdMm } of clean) expect(Math.abs(valueMm)).toBeLessThan(3 * sdMm);
    expect(surfaces.length).toBeGreaterThan(20);
  });
});
