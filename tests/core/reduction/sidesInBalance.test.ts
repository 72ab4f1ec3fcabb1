import { describe, expect, it } from 'vitest';
import { isRight, positionOf } from '../../../src/core/base/tooth.ts';
import { contactRoom, planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { ReductionRequest } from '../../../src/core/reduction/ReductionPlan.ts';
import { shareSurfaces } from '../../../src/core/reduction/shareSurfaces.ts';
import { type MidlineWish, sideBalance } from '../../../src/core/reduction/sidesInBalance.ts';
import { makeRandom } from '../../support/random.ts';
import { contactsFor, makeContact, makeRequest, randomRequest } from '../../support/reductionRequests.ts';

function* choices(bounds: readonly number[]): Generator<number[]> {
  if (bounds.length === 0) {
    yield [];
    return;
  }
  for (let k = 0; k <= bounds[0]; k++) for (const rest of choices(bounds.slice(1))) yield [k, ...rest];
}

/** All allocations of the total, judged by the rules one after the other. */
function bestOf(request: ReductionRequest, total: number, wish: MidlineWish): readonly number[] {
  const rooms = request.contacts.map((contact) => contactRoom(contact, request));
  const rank = request.contacts.map(({ teeth: [a, b] }) =>
    isRight(a) !== isRight(b) ? 0 : 2 * Math.min(positionOf(a), positionOf(b)) + (isRight(a) ? 0 : 1),
  );
  const order = rank.map((_, i) => i).sort((i, j) => rank[i] - rank[j]);
  let best: { x: readonly number[]; keys: readonly number[] } | null = null;
  for (const x of choices(rooms.map((room) => room.bound))) {
    if (x.reduce((a, b) => a + b, 0) !== total) continue;
    let [right, left] = [0, 0];
    for (const [i, { teeth, surfaceLimitsMm }] of request.contacts.entries()) {
      const surfaces = shareSurfaces(x[i] * request.stepMm, surfaceLimitsMm);
      for (const k of [0, 1])
        if (isRight(teeth[k])) right += surfaces[k];
        else left += surfaces[k];
    }
    const missed = Math.max(0, Math.abs((right - left) / 2 - wish.shiftToRightMm) - wish.toleranceMm);
    const worst = Math.max(0, ...x.map((k, i) => (k > 0 ? k / rooms[i].capacity : 0)));
    const squares = x.reduce((s, k, i) => s + (k > 0 ? (k * k) / rooms[i].capacity : 0), 0);
    const keys = [missed, worst, squares, ...order.map((i) => -x[i])];
    const at = best ? keys.findIndex((key, i) => Math.abs(key - best!.keys[i]) > 1e-7) : 0;
    if (!best || (at >= 0 && keys[at] < best.keys[at])) best = { x, keys };
  }
  return best!.x;
}

describe('midline option', () => {
  it('seeds 1–300: equal to full enumeration of 3 to 5 contacts', () => {
    let moved = 0;
    for (let seed = 1; seed <= 300; seed++) {
      const random = makeRandom(seed + 9000);
      const request = randomRequest(seed + 2000, 3 + (seed % 3));
      const wish: MidlineWish = {
        shiftToRightMm: random() < 0.4 ? 0 : request.stepMm * (6 * random() - 3),
        toleranceMm: random() < 0.5 ? 0 : request.stepMm * random(),
      };
      const plan = planReduction(request, { midline: wish });
      const steps = plan.contacts.map((c) => Math.round(c.totalMm / request.stepMm));
      const total = steps.reduce((a, b) => a + b, 0);
      expect(steps, `seed ${seed}`).toEqual(bestOf(request, total, wish));
      const alone = planReduction(request);
      // Reach goes before the wish, and nothing else of the plan changes with it.
      expect([plan.plannedMm, plan.commitMm, plan.heldBackMm]).toEqual([
        alone.plannedMm,
        alone.commitMm,
        alone.heldBackMm,
      ]);
      for (const contact of plan.contacts)
        expect(contact.byVisitMm.reduce((a, b) => a + b, 0)).toBeCloseTo(contact.totalMm, 7);
      if (steps.some((s, i) => s !== Math.round(alone.contacts[i].totalMm / request.stepMm))) moved++;
    }
    expect(moved).toBeGreaterThan(60);
  });

  // A full lower arch with the right canine's contacts locked: alone the left side gives more.
  const request = makeRequest({
    neededMm: 2,
    visits: 6,
    contacts: contactsFor('lower', 6).map((teeth) =>
      makeContact(teeth, { locked: teeth.includes(43) || teeth.includes(44) }),
    ),
  });

  it('left and right in balance, where alone they would not be', () => {
    const alone = sideBalance(planReduction(request));
    expect(alone.leftMm - alone.rightMm).toBeGreaterThan(0.3);
    const balanced = planReduction(request, { midline: { shiftToRightMm: 0, toleranceMm: 0 } });
    expect(sideBalance(balanced)).toEqual({ rightMm: 1, leftMm: 1, shiftToRightMm: 0 });
    expect(balanced.plannedMm).toBe(2);
  });

  it('a midline moved by half a millimetre to the left takes 1 mm more on the left', () => {
    const plan = planReduction(request, { midline: { shiftToRightMm: -0.5, toleranceMm: 0 } });
    expect(sideBalance(plan)).toEqual({ rightMm: 0.5, leftMm: 1.5, shiftToRightMm: -0.5 });
  });

  it('without the option, or with it left empty, the plan is the same', () => {
    expect(planReduction(request, {})).toEqual(planReduction(request));
    expect(planReduction(request, { midline: null })).toEqual(planReduction(request));
  });

  it('refuses a wish that is no length', () => {
    const asked = (shiftToRightMm: number, toleranceMm: number) => () =>
      planReduction(request, { midline: { shiftToRightMm, toleranceMm } });
    expect(asked(Number.NaN, 0)).toThrow(/midline\.shiftToRightMm.*got NaN/);
    expect(asked(0, -1)).toThrow(/midline\.toleranceMm.*got -1/);
  });
});
