import { describe, expect, it } from 'vitest';
import { cheapestSteps } from '../../../src/core/reduction/allocateSteps.ts';
import { scheduleVisits } from '../../../src/core/reduction/scheduleVisits.ts';

describe('scheduleVisits', () => {
  it.each([
    [3, 0, [2, 1, 0]], // committed: as early as allowed
    [0, 3, [0, 1, 2]], // held back: as late as allowed
    [3, 3, [2, 2, 2]], // no visit above 2 where both meet
    [1, 4, [1, 2, 2]],
    [4, 1, [2, 2, 1]],
  ])('%d committed and %d held back, 2 a visit: %o', (committed, heldBack, expected) => {
    expect(scheduleVisits(committed, heldBack, { visits: 3, firstVisit: 1, perVisit: 2 })).toEqual(expected);
  });

  it('nothing before the first visit at which the contact is reachable', () => {
    expect(scheduleVisits(2, 1, { visits: 4, firstVisit: 3, perVisit: 2 })).toEqual([0, 0, 2, 1]);
  });

  // The visits are never made to hold more than was allowed: a plan asking for it is a fault of the program.
  it.each([
    ['committed', 3, 0],
    ['held back', 0, 3],
    ['both together', 1, 2],
    ['both, and more held back than is left over', 2, 1],
  ])('more than the visits hold is a fault, not a fuller visit: %s', (_, committed, heldBack) => {
    const room = { visits: 3, firstVisit: 3, perVisit: 2 };
    expect(() => scheduleVisits(committed, heldBack, room)).toThrow(/: 1 steps find no visit/);
  });

  it('more steps than the bounds hold are a fault as well', () => {
    expect(() => cheapestSteps(4, { capacities: [3, 2], bounds: [2, 1] })).toThrow(/got 4 steps/);
  });
});
