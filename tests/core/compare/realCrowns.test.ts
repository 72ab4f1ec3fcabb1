import { describe, expect, it } from 'vitest';
import { rms, worst } from '../../accuracy/AccuracyRow.ts';
import { errorsOf, realErrors, withinSd } from '../../support/followUpExperiment.ts';
import { crownsPair } from '../../support/followUpPair.ts';
import { hasSharedScans } from '../../support/sharedScans.ts';

// Real crowns in a gum made for the test: cut by planes of known depth, moved apart and turned, other vertices,
// noise of 0.01 mm on either scan, another pose.
describe.skipIf(!hasSharedScans)('real crowns before and after known cuts', () => {
  it.each(['crowns-a-lower', 'crowns-a-upper'] as const)('%s', async (name) => {
    const { surfaces, contacts, movedMm, turnedDeg } = realErrors(await crownsPair(name, { seed: 1 }));
    expect(surfaces.length).toBe(28);
    expect(rms(errorsOf(surfaces))).toBeLessThan(0.06);
    expect(contacts.length).toBe(13);
    expect(rms(errorsOf(contacts))).toBeLessThan(0.1);
    expect(withinSd(contacts, 2)).toBeGreaterThan(0.8);
    expect(rms(movedMm)).toBeLessThan(0.05);
    expect(worst(movedMm)).toBeLessThan(0.15);
    expect(worst(turnedDeg)).toBeLessThan(1);
  });
});
