import { expect, it } from 'vitest';
import { archOrder, positionOf } from '../../../src/core/base/tooth.ts';
import { enamelRoom } from '../../../src/core/reduction/enamelRoom.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { reductionRequest } from '../../../src/core/reduction/reductionRequest.ts';

it('what an arch gives at most is what a plan takes that needs more than there is', () => {
  const settings = {
    neededMm: 100,
    stepMm: 0.1,
    overshootRisk: 0.05,
    visits: 6,
    perVisitLimitMm: 0.3,
    contacts: [
      {
        teeth: [41, 31] as const,
        limitMm: null,
        limitReason: '',
        surfaceLimitsMm: [null, null] as const,
        earlierReductionMm: [0, 0] as const,
        lock: 'refused' as const,
        reachableFromVisit: 1,
      },
    ],
  };
  const present = archOrder('lower').filter((tooth) => positionOf(tooth) <= 6);
  const built = reductionRequest({ jaw: 'lower', ledger: null, settings, present });
  const room = enamelRoom(built);
  expect(room.mostMm).toBe(planReduction(built.request).plannedMm);
  expect(room.mostMm).toBe(5); // ten open contacts of 0.5 mm each
  // Both surfaces of 42|41, 43|42, 44|43, 45|44, 46|45, by the published means of the lower jaw (see enamel.ts).
  const oneSide = 0.872 + 0.734 + (0.872 + 0.734) + (1.002 + 1.002) + (1.002 + 1.376) + (1.45 + 1.48);
  expect(room.enamelMm).toBeCloseTo(2 * oneSide, 9);
});
