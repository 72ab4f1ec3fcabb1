import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { closurePlan } from '../../../src/core/visits/closurePlan.ts';
import { LOWER_CONTACTS } from '../../support/visitCases.ts';

const spaces = (openings: readonly (number | null)[]) =>
  LOWER_CONTACTS.slice(0, openings.length).map((teeth, i) => {
    const valueMm = openings[i];
    return { teeth, separation: valueMm === null ? null : { valueMm, sdMm: 0.05 } };
  });

describe('closure plan', () => {
  it('a single gap at the midline is closed whole, and the midline stays', () => {
    const openings = [0, 0, 0, 0, -0.02, 0.6, 0, 0, 0, 0, null];
    const plan = closurePlan({ valueMm: 0.6, sdMm: 0.1 }, spaces(openings), {
      overCorrectionMm: 0.1,
      contacts: null,
    });
    expect(plan.shares).toEqual([{ teeth: [41, 31], openMm: 0.6, closeMm: 0.7, leftMm: -0.1 }]);
    expect(plan).toMatchObject({ closeMm: 0.7, unplacedMm: 0, keptOpenMm: 0, midlineToRightMm: 0 });
    expect(plan.incisorsBackMm).toBe(0.35);
    expect(plan.forecast.residualMeanMm).toBe(-0.1);
    expect(plan.forecast.residualSdMm).toBe(0.1);
  });

  it('spaces that other teeth still need stay open; more on the right draws the midline there', () => {
    // 0.4 and 0.2 mm open on the right, 0.2 on the left, but only half of it in excess.
    const openings = [0, 0, 0, 0.4, 0.2, 0, 0, 0.2, 0, 0, 0];
    const plan = closurePlan({ valueMm: 0.4, sdMm: 0.1 }, spaces(openings), {
      overCorrectionMm: 0,
      contacts: null,
    });
    expect(plan.shares.map(({ closeMm }) => closeMm)).toEqual([0.2, 0.1, 0.1]);
    expect(plan.keptOpenMm).toBe(0.4);
    expect(plan.midlineToRightMm).toBe(0.1);
  });

  it('what the chosen contacts do not hold is named, not squeezed in', () => {
    const openings = [0, 0, 0, 0.4, 0, 0.3, 0, 0, 0, 0, 0];
    const plan = closurePlan({ valueMm: 0.7, sdMm: 0.1 }, spaces(openings), {
      overCorrectionMm: 0.1,
      contacts: [[41, 31]],
    });
    expect(plan.shares).toEqual([{ teeth: [41, 31], openMm: 0.3, closeMm: 0.4, leftMm: -0.1 }]);
    expect(plan.unplacedMm).toBe(0.4);
  });

  it('nothing in excess, nothing closed', () => {
    const plan = closurePlan({ valueMm: -0.2, sdMm: 0.1 }, spaces([0.3, 0.3]), {
      overCorrectionMm: 0.1,
      contacts: null,
    });
    expect(plan).toMatchObject({ shares: [], closeMm: 0, unplacedMm: 0, midlineToRightMm: 0 });
  });

  it('closures and what finds no place add up to the excess and its over-correction; no opening is passed by more', () => {
    const opening = fc.option(fc.double({ min: -0.3, max: 1, noNaN: true }), { nil: null });
    fc.assert(
      fc.property(
        fc.array(opening, { minLength: 1, maxLength: 11 }),
        fc.double({ min: 0.0001, max: 3, noNaN: true }),
        fc.double({ min: 0, max: 0.5, noNaN: true }),
        fc.subarray([...LOWER_CONTACTS]),
        fc.boolean(),
        (openings, valueMm, overCorrectionMm, chosen, all) => {
          const contacts = all ? null : chosen;
          const plan = closurePlan({ valueMm, sdMm: 0.1 }, spaces(openings), { overCorrectionMm, contacts });
          expect(plan.closeMm + plan.unplacedMm).toBeCloseTo(valueMm + overCorrectionMm, 7);
          const sum = plan.shares.reduce((total, share) => total + share.closeMm, 0);
          expect(sum).toBeCloseTo(plan.closeMm, 8);
          for (const share of plan.shares) {
            expect(share.closeMm).toBeLessThanOrEqual(share.openMm + overCorrectionMm + 1e-8);
            if (contacts) expect(contacts).toContainEqual(share.teeth);
          }
          expect(plan.forecast.residualMeanMm).toBeCloseTo(valueMm - plan.closeMm, 8);
        },
      ),
      { seed: 20260302, numRuns: 500 },
    );
  });
});
