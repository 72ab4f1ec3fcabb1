import { describe, expect, it } from 'vitest';
import { exceededLimits } from '../../../src/core/reduction/exceededLimits.ts';
import {
  excessWords,
  mostOwnSteps,
  type OwnAmount,
  ownAmountsOf,
  planOfOwnAmounts,
} from '../../../src/core/reduction/ownAmounts.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { ReductionRequest } from '../../../src/core/reduction/ReductionPlan.ts';
import type { ContactLimits } from '../../../src/core/reduction/reductionRequest.ts';
import { contactsFor, makeContact, makeRequest, randomRequest } from '../../support/reductionRequests.ts';

/** Limits as a request would have them, each usual. */
const limitsOf = (request: ReductionRequest): readonly ContactLimits[] =>
  request.contacts.map(({ teeth, limitMm, surfaceLimitsMm, locked }) => ({
    teeth,
    limitMm,
    limitFrom: 'default',
    surfacesMm: surfaceLimitsMm,
    surfaceFrom: ['half-enamel', 'half-enamel'],
    usualLimitMm: limitMm,
    earlierMm: [0, 0],
    radiographMm: [null, null],
    usualSurfacesMm: surfaceLimitsMm,
    stricter: 'contact',
    exceedsDefault: false,
    reason: '',
    reasonMissing: false,
    lock: locked ? 'other' : null,
  }));
const built = (request: ReductionRequest) => ({ request, limits: limitsOf(request) });
const [first, second, third] = contactsFor('lower', 3);
const own = (teeth: OwnAmount['teeth'], amountMm: number, reason = ''): OwnAmount => ({
  teeth,
  amountMm,
  reason,
});

describe('own amounts as a plan', () => {
  it('equal to the plan they give the plan, field for field (300 random requests)', () => {
    for (let seed = 1; seed <= 300; seed++) {
      const request = randomRequest(seed, 1 + (seed % 5));
      const plan = planReduction(request);
      const found = planOfOwnAmounts(ownAmountsOf(plan), built(request));
      expect(found.plan, `seed ${seed}`).toEqual(plan);
      expect(found.request, `seed ${seed}`).toEqual(request);
      expect(found.excesses, `seed ${seed}`).toEqual([]);
      const midline = { midline: { shiftToRightMm: 0.1, toleranceMm: 0 } };
      const shifted = planReduction(request, midline);
      const own = planOfOwnAmounts(ownAmountsOf(shifted), built(request), midline);
      expect(own.plan, `seed ${seed}, midline`).toEqual(shifted);
    }
  });

  it('one tenth more at one contact: that contact, the sums and the forecast follow, nothing else', () => {
    const request = makeRequest({ neededMm: 1, neededSdMm: 0.2 });
    const plan = planReduction(request);
    const amounts = ownAmountsOf(plan).map((a, i) => (i === 0 ? { ...a, amountMm: a.amountMm + 0.1 } : a));
    const { plan: mine, excesses } = planOfOwnAmounts(amounts, built(request));
    expect(excesses).toEqual([]);
    expect(mine.plannedMm).toBeCloseTo(plan.plannedMm + 0.1, 12);
    expect(mine.forecast.residualMeanMm).toBeCloseTo(plan.forecast.residualMeanMm + 0.1, 12);
    expect(mine.forecast.chanceGap).toBeGreaterThan(plan.forecast.chanceGap);
    expect(mine.contacts.slice(1).map((c) => c.totalMm)).toEqual(
      plan.contacts.slice(1).map((c) => c.totalMm),
    );
    expect(mine.commitMm).toBe(plan.commitMm);
    expect(mine.heldBackMm).toBeCloseTo(mine.plannedMm - plan.commitMm, 12);
  });

  it('above a limit only with a reason, which is then named where the plan is printed', () => {
    const request = makeRequest({
      visits: 4,
      contacts: [
        makeContact(first),
        makeContact(second, { surfaceLimitsMm: [0.2, 0.25] }),
        makeContact(third),
      ],
    });
    const bare = planOfOwnAmounts([own(first, 0.7), own(second, 0.5)], built(request));
    expect(bare.plan.contacts.map((c) => c.totalMm)).toEqual([0.5, 0.4, 0]);
    expect(bare.excesses.map(({ limit, needsReason, countsMm }) => [limit, needsReason, countsMm])).toEqual([
      ['contact-limit', true, 0.5],
      ['surface-limits', true, 0.4],
    ]);
    expect(excessWords(bare.excesses.slice(0, 1))).toBe(
      '0.7 mm: 0.20 mm above the contact limit of 0.5 mm; 0.5 mm counts until a reason is recorded.',
    );
    expect(bare.request).toEqual(request);
    expect(exceededLimits(bare.plan, bare.limits)).toEqual([]);

    const meant = planOfOwnAmounts(
      [own(first, 0.7, 'thick enamel'), own(second, 0.5, ' seen ')],
      built(request),
    );
    expect(meant.plan.contacts.map((c) => c.totalMm)).toEqual([0.7, 0.5, 0]);
    expect(meant.plan.contacts[1].surfacesMm[0]).toBeCloseTo(0.225, 9); // half of the missing 0.05 mm to each
    expect(meant.excesses.every(({ needsReason }) => !needsReason)).toBe(true);
    const printed = exceededLimits(meant.plan, meant.limits);
    expect(printed.map(({ reason, contactOverMm }) => [reason, contactOverMm])).toEqual([
      ['thick enamel', 0.2],
      ['seen', 0],
    ]);
    for (const contact of meant.plan.contacts)
      expect(contact.byVisitMm.reduce((a, b) => a + b, 0)).toBeCloseTo(contact.totalMm, 9);
  });

  it('more than the goal is no shortfall; with nothing needed all of it is held back', () => {
    const much = planOfOwnAmounts([own(first, 0.5), own(second, 0.5), own(third, 0.5)], built(makeRequest()));
    expect(much.plan).toMatchObject({ status: 'meets', goalMm: 1, plannedMm: 1.5, shortMm: 0 });
    expect(much.plan.forecast.chanceGap).toBe(1);
    const none = planOfOwnAmounts([own(first, 0.2)], built(makeRequest({ neededMm: -1 })));
    expect(none.plan).toMatchObject({
      status: 'meets', // something is planned: not 'none'
      goalMm: 0,
      plannedMm: 0.2,
      heldBackMm: 0.2,
      shortMm: 0,
    });
  });

  it('locks, visits and the enamel there is hold whatever the reason', () => {
    const request = makeRequest({
      visits: 2,
      perVisitLimitMm: 0.2,
      contacts: [makeContact(first, { locked: true }), makeContact(second), makeContact(third)],
    });
    const found = planOfOwnAmounts(
      [own(first, 0.1, 'wanted'), own(second, 0.5, 'wanted'), own([47, 46], 0.2)],
      built(request),
    );
    expect(found.plan.contacts.map((c) => c.totalMm)).toEqual([0, 0.4, 0]);
    expect(found.excesses.map(({ limit }) => limit)).toEqual(['no-contact', 'locked', 'visits']);
    // Lower central incisors, mesial: 0.675 mm each (Vellini-Ferreira 2012), 1.3 mm in whole tenths.
    const wide = makeRequest({ visits: 60, contacts: [makeContact([41, 31])] });
    const [usual] = limitsOf(wide);
    expect(mostOwnSteps(wide.contacts[0], usual, wide)).toBe(13);
    const thin = { ...usual, radiographMm: [0.5, null], earlierMm: [0, 0.2] } as const;
    expect(mostOwnSteps(wide.contacts[0], thin, wide)).toBe(9); // 0.5 + 0.675 − 0.2 mm
    const most = planOfOwnAmounts([own([41, 31], 2, 'wanted')], built(wide));
    expect(most.plan.plannedMm).toBe(1.3);
    expect(most.excesses.map(({ limit }) => limit)).toEqual(['enamel', 'contact-limit', 'surface-limits']);
  });

  it('an amount between two steps counts as the lower and says so', () => {
    const request = makeRequest();
    const found = planOfOwnAmounts([own(first, 0.25)], built(request));
    expect(found.plan.plannedMm).toBe(0.2);
    expect(found.excesses.map(({ limit }) => limit)).toEqual(['step']);
    expect(excessWords(found.excesses)).toBe('0.25 mm: no whole number of steps of 0.1 mm; 0.2 mm counts.');
  });

  it('amounts are said in full, also where steps are finer than tenths', () => {
    const request = makeRequest({ stepMm: 0.05, contacts: [makeContact(first, { limitMm: 0.45 })] });
    const found = planOfOwnAmounts([own(first, 0.6)], built(request));
    expect(found.plan.plannedMm).toBe(0.45);
    expect(excessWords(found.excesses)).toBe(
      '0.6 mm: 0.15 mm above the contact limit of 0.45 mm; 0.45 mm counts until a reason is recorded.',
    );
    const whole = planOfOwnAmounts([own(first, 1)], built(request));
    expect(excessWords(whole.excesses)).toMatch(/^1\.0 mm: /);
    expect(excessWords([])).toBe('');
  });

  it('with a reason the amount stands and nothing is said to count for it; two limits, one reason', () => {
    const request = makeRequest({
      visits: 2,
      perVisitLimitMm: 0.3,
      contacts: [makeContact(first, { limitMm: 0.4 })],
    });
    const said = (amountMm: number, reason = '') =>
      excessWords(planOfOwnAmounts([own(first, amountMm, reason)], built(request)).excesses);
    expect(said(0.6, 'seen')).toBe('0.6 mm: 0.20 mm above the contact limit of 0.4 mm.');
    // Above what the visits hold and above the limit: the reason would still raise the limit.
    expect(said(0.7)).toMatch(/its visits hold 0\.6 mm .*; 0\.4 mm counts until a reason is recorded\.$/);
    expect(said(0.7, 'seen')).toMatch(/; 0\.6 mm counts\.$/);
    const elsewhere = planOfOwnAmounts([own([47, 46], 0.2)], built(request)).excesses;
    expect(elsewhere[0]).toMatchObject({ limit: 'no-contact', needsReason: false, countsMm: 0 });
  });

  it('a primary tooth, whose enamel nobody has published, gives what its limits allow and no more', () => {
    const request = makeRequest({
      visits: 9,
      contacts: [makeContact([75, 74], { surfaceLimitsMm: [0.2, 0.1] })],
    });
    expect(mostOwnSteps(request.contacts[0], limitsOf(request)[0], request)).toBe(3);
    const found = planOfOwnAmounts([own([75, 74], 0.5, 'seen')], built(request));
    expect(found.plan.plannedMm).toBe(0.3);
    expect(found.excesses.map(({ limit }) => limit)).toContain('enamel');
  });

  it('at its limits an amount exceeds none; a blank reason is none', () => {
    const request = makeRequest({
      visits: 2,
      perVisitLimitMm: 0.2,
      contacts: [makeContact(first, { limitMm: 0.4, surfaceLimitsMm: [0.2, 0.2] }), makeContact(second)],
    });
    expect(planOfOwnAmounts([own(first, 0.4)], built(request)).excesses).toEqual([]);
    const blank = planOfOwnAmounts([own(first, 0.5, '  ')], built({ ...request, visits: 9 }));
    expect(blank.plan.contacts[0].totalMm).toBe(0.4);
    expect(blank.excesses.map(({ limit, needsReason }) => [limit, needsReason])).toEqual([
      ['contact-limit', true],
      ['surface-limits', true],
    ]);
    // Nothing wished at a contact that is not there is no wish.
    expect(planOfOwnAmounts([own([47, 46], 0)], built(request)).excesses).toEqual([]);
    // Nothing wished at a locked contact does not break the lock.
    const locked = { ...request, contacts: [makeContact(first, { locked: true })] };
    expect(planOfOwnAmounts([own(first, 0)], built(locked)).excesses).toEqual([]);
  });

  it('with a reason only the limits that must give way are raised, and named as the user’s', () => {
    const request = makeRequest({
      visits: 9,
      contacts: [makeContact(first, { limitMm: 0.5, surfaceLimitsMm: [0.4, 0.4] })],
    });
    const raised = (amountMm: number) => planOfOwnAmounts([own(first, amountMm, 'seen')], built(request));
    // 0.7 mm: above the contact's 0.5, within the surfaces' 0.8 together.
    const contactOnly = raised(0.7);
    expect(contactOnly.request.contacts[0]).toMatchObject({ limitMm: 0.7, surfaceLimitsMm: [0.4, 0.4] });
    expect(contactOnly.limits[0]).toMatchObject({
      limitMm: 0.7,
      limitFrom: 'user',
      surfaceFrom: ['half-enamel', 'half-enamel'],
      stricter: 'contact',
      exceedsDefault: true,
      reason: 'seen',
    });
    // 1 mm: 0.2 mm more than both surfaces allow, a tenth added to each.
    const both = raised(1);
    expect(both.request.contacts[0]).toMatchObject({ limitMm: 1, surfaceLimitsMm: [0.5, 0.5] });
    expect(both.limits[0]).toMatchObject({
      surfacesMm: [0.5, 0.5],
      surfaceFrom: ['user', 'user'],
      reasonMissing: false,
    });
    expect(both.plan.contacts[0].surfacesMm).toEqual([0.5, 0.5]);
    // Within its limits nothing is raised, whatever reason stands there.
    const within = raised(0.5);
    expect(within.request).toEqual(request);
    expect(within.limits[0].exceedsDefault).toBe(false);
  });
});
