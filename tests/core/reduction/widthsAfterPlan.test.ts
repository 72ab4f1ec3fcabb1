import { describe, expect, it } from 'vitest';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { takenByTooth, widthsAfterPlan } from '../../../src/core/reduction/widthsAfterPlan.ts';
import { makeContact, makeRequest } from '../../support/reductionRequests.ts';

const plan = planReduction(
  makeRequest({
    neededMm: 0.6,
    contacts: [
      makeContact([31, 41], { surfaceLimitsMm: [0.1, 0.5] }),
      makeContact([42, 41]),
      makeContact([43, 42], { locked: true }),
    ],
  }),
);

describe('widthsAfterPlan', () => {
  it('takes from each tooth what its two surfaces give', () => {
    // 0.3 mm at each of two contacts; 31 gives 0.1 and 41 the other 0.2, 42 and 41 share 0.15 each.
    expect([...takenByTooth(plan)]).toEqual([
      [31, 0.1],
      [41, 0.35],
      [42, 0.15],
    ]);
    const before = [43, 42, 41, 31].map((tooth) => ({ tooth, widthMm: 6, sdMm: 0.1 }));
    expect(widthsAfterPlan(before, plan).map((w) => w.widthMm)).toEqual([6, 5.85, 5.65, 5.9]);
    expect(widthsAfterPlan(before, null)).toEqual(before);
  });

  it('what is taken from the teeth is what is planned', () => {
    const taken = [...takenByTooth(plan).values()].reduce((a, b) => a + b, 0);
    expect(taken).toBeCloseTo(plan.plannedMm, 9);
  });
});
