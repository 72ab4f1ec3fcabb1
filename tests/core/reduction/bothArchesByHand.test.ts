import loadHighs from 'highs';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Contact } from '../../../src/core/base/tooth.ts';
import type { MixedIntegerSolver } from '../../../src/core/reduction/mixedInteger.ts';
import {
  type BothArches,
  type BothPlans,
  planBothArches,
} from '../../../src/core/reduction/planBothArches.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { RatioBand } from '../../../src/core/reduction/twoArchModel.ts';
import { makeContact, makeRequest } from '../../support/reductionRequests.ts';

let solver: MixedIntegerSolver;
beforeAll(async () => {
  solver = await loadHighs();
});

describe('both arches, by hand', () => {
  // Two contacts in each arch that are all of the anterior ratio, or none of it: everything follows by hand.
  const pair = (neededMm: number, band: Partial<RatioBand>, more: Partial<BothArches> = {}): BothPlans => {
    const request = (jaw: 'upper' | 'lower', teeth: readonly Contact[]) =>
      makeRequest({ jaw, neededMm, visits: 6, contacts: teeth.map((t) => makeContact(t)) });
    const input: BothArches = {
      upper: request('upper', [
        [11, 21],
        [15, 14],
      ]),
      lower: request('lower', [
        [41, 31],
        [45, 44],
      ]),
      bands: [
        { kind: 'anterior', lowPercent: 50, highPercent: 100, upperSumMm: 46, lowerSumMm: 36, ...band },
      ],
      ...more,
    };
    return planBothArches(input, solver);
  };

  it('a band that cannot be come nearer to leaves both plans as they are, and says what would be left', () => {
    // Nothing needed, 36.4 mm where 0.7 × 46 = 32.2 are allowed: 4.2 mm, of which the lower front could give 0.5.
    const found = pair(0, { lowPercent: 60, highPercent: 70, lowerSumMm: 36.4 });
    expect(found.sharesMoved).toBe(false);
    expect(found.extraMm).toEqual({ upper: 0, lower: 0 });
    expect(found.outsideBandsMm).toBeCloseTo(4.2, 9);
    expect(found.cost!.extraMm).toEqual({ upper: 0, lower: 0.5 });
    expect(found.cost!.outsideBandsMm).toBeCloseTo(3.7, 9);
  });

  it('the lower bound: an upper front too wide is what gives, a tenth of it for as much of the band', () => {
    // 0.8 × 46 = 36.8 and 36.72 there: 0.08 short, which 0.1 mm off the upper front make up for (0.8 × 0.1).
    const band = { lowPercent: 80, highPercent: 90, lowerSumMm: 36.72 };
    const found = pair(0, band);
    expect(found.outsideBandsMm).toBeCloseTo(0.08, 9);
    expect(found.cost).toEqual({ extraMm: { upper: 0.1, lower: 0 }, outsideBandsMm: 0 });
    const allowed = pair(0, band, { extraMm: { upper: 0.5, lower: 0.5 } });
    expect(allowed.extraMm).toEqual({ upper: 0.1, lower: 0 });
    expect(allowed.outsideBandsMm).toBe(0);
    expect(allowed.upper.contacts.map((c) => c.totalMm)).toEqual([0.1, 0]);
    // The other arch alone is allowed to give more: that would not help, and nothing is taken.
    const lowerOnly = pair(0, band, { extraMm: { upper: 0, lower: 0.5 } });
    expect(lowerOnly.extraMm).toEqual({ upper: 0, lower: 0 });
    expect(lowerOnly.sharesMoved).toBe(false);
  });

  it('what the limits of each arch hold is asked of that arch alone', () => {
    const band = { lowPercent: 60, highPercent: 78, lowerSumMm: 0.78 * 46 + 0.3 };
    const locked = (jaw: 'upper' | 'lower', teeth: Contact) =>
      makeRequest({ jaw, neededMm: 0, visits: 6, contacts: [makeContact(teeth, { locked: true })] });
    const asked = pair(0, band, { upper: locked('upper', [11, 21]) });
    expect(asked.cost).toEqual({ extraMm: { upper: 0, lower: 0.3 }, outsideBandsMm: 0 });
    const none = pair(0, band, { lower: locked('lower', [41, 31]) });
    expect(none.cost!.extraMm).toEqual({ upper: 0, lower: 0 });
    expect(none.cost!.outsideBandsMm).toBeCloseTo(0.3, 9);
  });

  it('beyond the need the worst share may be less than alone, where the midline had forced it', () => {
    // One tenth needed, in balance: only the midline contact can give it, all it has. The band asks for 0.6 mm; in
    // balance that is 0.3 on each side, where 0.3 of 0.4 at one contact goes before 0.1 of 0.1 and 0.2 of 0.4.
    const limits: readonly (readonly [Contact, number])[] = [
      [[43, 42], 0.4],
      [[42, 41], 0.1],
      [[41, 31], 0.1],
      [[31, 32], 0.1],
      [[32, 33], 0.4],
    ];
    const lower = makeRequest({
      neededMm: 0.1,
      visits: 6,
      contacts: limits.map(([teeth, limitMm]) => makeContact(teeth, { limitMm })),
    });
    const wish = { shiftToRightMm: 0, toleranceMm: 0 };
    const steps = (plan: { readonly contacts: readonly { readonly totalMm: number }[] }) =>
      plan.contacts.map((c) => c.totalMm);
    expect(steps(planReduction(lower, { midline: wish }))).toEqual([0, 0, 0.1, 0, 0]);
    const found = pair(
      0,
      { lowPercent: 60, highPercent: 80, lowerSumMm: 36.8 + 0.6 },
      { lower, extraMm: { upper: 0, lower: 0.5 }, midline: { lower: wish } },
    );
    expect(steps(found.lower)).toEqual([0.3, 0, 0, 0, 0.3]);
    expect(found).toMatchObject({ outsideBandsMm: 0, extraMm: { upper: 0, lower: 0.5 } });
  });

  it('the need goes to the front or behind it as the band wants, nothing is added', () => {
    // 0.4 mm in each arch: alone 0.2 and 0.2. Lower front 0.2 mm too wide for 0.78 × 45.8: give 0.4 there.
    const wide = pair(0.4, { lowPercent: 60, highPercent: 78, lowerSumMm: 0.78 * 45.8 + 0.4 });
    expect(wide.lower.contacts.map((c) => c.totalMm)).toEqual([0.4, 0]);
    expect(wide.upper.contacts.map((c) => c.totalMm)).toEqual([0.2, 0.2]);
    expect(wide).toMatchObject({ sharesMoved: true, extraMm: { upper: 0, lower: 0 }, cost: null });
    // Upper front 0.2 mm too wide for that: 0.4 off it would do, or less with less off the lower front. 0.3 and 0.1
    // leave 35.668 mm where 0.78 × 45.7 = 35.646 are asked for, and load no contact as much.
    const narrow = pair(0.4, { lowPercent: 78, highPercent: 90, lowerSumMm: 0.78 * 45.6 + 0.2 });
    expect(narrow.upper.contacts.map((c) => c.totalMm)).toEqual([0.3, 0.1]);
    expect(narrow.lower.contacts.map((c) => c.totalMm)).toEqual([0.1, 0.3]);
    expect([wide.upper.plannedMm, wide.lower.plannedMm]).toEqual([0.4, 0.4]);
    expect([narrow.upper.plannedMm, narrow.lower.plannedMm]).toEqual([0.4, 0.4]);
  });
});
