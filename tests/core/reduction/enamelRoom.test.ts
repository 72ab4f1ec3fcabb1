import { expect, it } from 'vitest';
import { archOrder, positionOf } from '../../../src/core/base/tooth.ts';
import { enamelRoom } from '../../../src/core/reduction/enamelRoom.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { reductionRequest } from '../../../src/core/reduction/reductionRequest.ts';
import { makeChoice } from '../../support/reductionRequests.ts';

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

it('a surface from which more was taken than it had gives nothing and takes nothing from others', () => {
  const of = (change: Parameters<typeof makeChoice>[0], present: readonly number[] = [41, 31]) =>
    enamelRoom(
      reductionRequest({
        jaw: 'lower',
        ledger: null,
        settings: {
          neededMm: 1,
          stepMm: 0.1,
          overshootRisk: 0.05,
          visits: 2,
          perVisitLimitMm: 0.3,
          contacts: [makeChoice(change)],
        },
        present,
      }),
    );
  // Lower central incisors, mesial: 0.675 mm each (Vellini-Ferreira 2012).
  expect(of({ earlierReductionMm: [0.2, 0] }).enamelMm).toBeCloseTo(0.475 + 0.675, 9);
  expect(of({ earlierReductionMm: [1, 0] }).enamelMm).toBeCloseTo(0.675, 9);
  expect(of({ lock: 'implant' })).toEqual({ mostMm: 0, enamelMm: 0 });
  // Of primary teeth nobody knows the enamel, unless their contact is locked anyway.
  expect(of({}, [74, 75]).enamelMm).toBeNull();
  expect(of({ teeth: [75, 74], lock: 'other' }, [74, 75]).enamelMm).toBe(0);
});
