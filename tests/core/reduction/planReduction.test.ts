import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planOfShares, planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { ReductionPlan } from '../../../src/core/reduction/ReductionPlan.ts';
import { contactsFor, makeContact, makeRequest, randomRequest } from '../../support/reductionRequests.ts';

const totals = (plan: ReductionPlan) => plan.contacts.map((contact) => contact.totalMm);
const add = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);

describe('goal and commitment', () => {
  it.each([
    [0.3, 0.3, '3 × 0.1 is not lost to binary fractions'],
    [0.7, 0.7, '0.7 / 0.1 is 6.999…'],
    [0.1 + 0.2, 0.3, 'a sum of decimals'],
    [0.8 - 0.1, 0.7, '0.7000000000000001'],
    [0.29, 0.2, 'rounds down'],
    [0.09, 0, 'below one step'],
    [0, 0, 'nothing'],
    [-1.4, 0, 'room to spare'],
  ])('needed %d mm: goal %d mm (%s)', (neededMm, goalMm) => {
    const plan = planReduction(makeRequest({ neededMm }));
    expect(plan.goalMm).toBe(goalMm);
    expect(plan.commitMm).toBe(goalMm);
    expect(plan.status).toBe(goalMm > 0 ? 'meets' : 'none');
    expect(plan.plannedMm).toBe(goalMm);
  });

  // z from R: qnorm(0.95) = 1.644853626951472.
  it.each([
    [0.05, 0.2, 1.6, 'needed − 1.6449 × 0.2 = 1.671'],
    [0.5, 0.2, 2, 'at even odds nothing is held back'],
    [0.9, 0.2, 2, 'never above the goal'],
    [0.05, 2, 0, 'never below nothing'],
    [0, 0.2, 0, 'no risk at all: nothing can be committed'],
    [0, 0, 2, 'no risk, but no doubt either'],
    [1, 0.2, 2, 'any risk'],
  ])('risk %d, SD %d mm: commit %d mm (%s)', (overshootRisk, neededSdMm, commitMm) => {
    const plan = planReduction(makeRequest({ neededMm: 2, overshootRisk, neededSdMm }));
    expect(plan.goalMm).toBe(2);
    expect(plan.commitMm).toBe(commitMm);
    expect(plan.heldBackMm).toBeCloseTo(2 - commitMm, 9);
  });

  it('holds nothing back when the limits give less than may be committed', () => {
    const contacts = [makeContact([41, 31], { limitMm: 0.4 })];
    const plan = planReduction(makeRequest({ neededMm: 2, neededSdMm: 0.2, contacts }));
    expect(plan).toMatchObject({
      status: 'short',
      commitMm: 1.6,
      plannedMm: 0.4,
      heldBackMm: 0,
      shortMm: 1.6,
    });
  });
});

it('tenths taken where nothing is needed are a plan all the same, all of it held back', () => {
  const contacts = [makeContact([41, 31])];
  expect(planOfShares(makeRequest({ neededMm: 0, contacts }), [2])).toMatchObject({
    status: 'meets',
    goalMm: 0,
    plannedMm: 0.2,
    heldBackMm: 0.2,
    shortMm: 0,
  });
  expect(planOfShares(makeRequest({ neededMm: 0, contacts }), [0]).status).toBe('none');
});

describe('shares', () => {
  it('shares alike over alike contacts, odd tenths nearer the midline and right first', () => {
    const plan = planReduction(makeRequest({ neededMm: 0.8 }));
    expect(plan.contacts.map((c) => c.teeth.join('-'))).toEqual([
      '43-42',
      '42-41',
      '41-31',
      '31-32',
      '32-33',
    ]);
    expect(totals(plan)).toEqual([0.1, 0.2, 0.2, 0.2, 0.1]);
    expect(totals(planReduction(makeRequest({ neededMm: 0.7 })))).toEqual([0.1, 0.2, 0.2, 0.1, 0.1]);
  });

  it('gives a contact of twice the capacity twice the amount', () => {
    const contacts = [makeContact([41, 31], { limitMm: 0.3 }), makeContact([42, 41], { limitMm: 0.6 })];
    expect(totals(planReduction(makeRequest({ neededMm: 0.6, contacts })))).toEqual([0.2, 0.4]);
  });

  it('across a closed gap the tooth nearer the midline tells how near a contact lies; then right before left', () => {
    // 42 missing: 43–41 begins at a central incisor, as 31–32 does.
    const contacts = [makeContact([31, 32]), makeContact([43, 41]), makeContact([32, 33])];
    expect(totals(planReduction(makeRequest({ neededMm: 0.1, contacts })))).toEqual([0, 0.1, 0]);
    expect(totals(planReduction(makeRequest({ neededMm: 0.2, contacts })))).toEqual([0.1, 0.1, 0]);
  });

  it('a late contact keeps its capacity, its visits only bound the amount', () => {
    // Capacities 5, 5; the late one can hold 1. Least worst share then lies with the other.
    const contacts = [
      makeContact([41, 31], { reachableFromVisit: 3 }),
      makeContact([42, 41], { reachableFromVisit: 1 }),
    ];
    const plan = planReduction(makeRequest({ neededMm: 0.5, perVisitLimitMm: 0.1, visits: 3, contacts }));
    expect(totals(plan)).toEqual([0.1, 0.3]);
    expect(plan.shortMm).toBe(0.1);
    expect(plan.contacts[0].byVisitMm).toEqual([0, 0, 0.1]);
  });

  it('holds back what remains when the commitment is shared inside the plan', () => {
    // Capacities 1, 1, 3 steps. The plan for 3 steps is one each; alone, 2 steps would go to the largest.
    const contacts = [
      makeContact([41, 31], { limitMm: 0.1 }),
      makeContact([42, 41], { limitMm: 0.1 }),
      makeContact([31, 32], { limitMm: 0.3 }),
    ];
    const request = makeRequest({ neededMm: 0.3, contacts });
    expect(totals(planReduction({ ...request, neededMm: 0.2 }))).toEqual([0, 0, 0.2]);
    const plan = planReduction({ ...request, neededSdMm: 0.05, overshootRisk: 0.05 });
    expect(plan.commitMm).toBe(0.2);
    expect(totals(plan)).toEqual([0.1, 0.1, 0.1]);
    expect(plan.contacts.map((c) => c.heldBackMm)).toEqual([0, 0.1, 0]);
  });

  it('splits a contact in halves unless one surface is spent', () => {
    const surfaces = (a: number, b: number) =>
      planReduction(
        makeRequest({ neededMm: 0.3, contacts: [makeContact([41, 31], { surfaceLimitsMm: [a, b] })] }),
      ).contacts[0].surfacesMm;
    expect(surfaces(0.5, 0.5)).toEqual([0.15, 0.15]);
    expect(surfaces(0.1, 0.5)).toEqual([0.1, 0.2]);
    expect(surfaces(0.5, 0.05)).toEqual([0.25, 0.05]);
    expect(surfaces(0.1, 0.2)).toEqual([0.1, 0.2]);
    expect(surfaces(0, 0.4)).toEqual([0, 0.3]);
  });

  it('keeps the order of the teeth as they were given', () => {
    const plan = planReduction(
      makeRequest({ neededMm: 0.3, contacts: [makeContact([31, 41], { surfaceLimitsMm: [0.1, 0.5] })] }),
    );
    expect(plan.contacts[0].teeth).toEqual([31, 41]);
    expect(plan.contacts[0].surfacesMm).toEqual([0.1, 0.2]);
  });
});

describe('visits', () => {
  it('commits early and leaves what is held back to the last visits', () => {
    const contacts = [makeContact([41, 31])];
    const base = makeRequest({ neededMm: 0.5, contacts, visits: 4, perVisitLimitMm: 0.2 });
    expect(planReduction(base).contacts[0].byVisitMm).toEqual([0.2, 0.2, 0.1, 0]);
    const held = planReduction({ ...base, neededSdMm: 0.1 }); // commits 0.3
    expect(held.contacts[0]).toMatchObject({ byVisitMm: [0.2, 0.1, 0, 0.2], heldBackMm: 0.2 });
    const tight = planReduction({ ...base, neededSdMm: 0.1, visits: 3 });
    expect(tight.contacts[0]).toMatchObject({ byVisitMm: [0.2, 0.1, 0.2], heldBackMm: 0.2 });
  });

  it.each([
    ['locked', { locked: true }],
    ['reachable only after the last visit', { reachableFromVisit: 4 }],
    ['no limit left', { limitMm: 0 }],
    ['a limit below one step', { limitMm: 0.09 }],
    ['no enamel left', { surfaceLimitsMm: [0, 0] as const }],
  ])('a contact that is %s gives nothing, and that is a result', (_, change) => {
    const plan = planReduction(makeRequest({ contacts: [makeContact([41, 31], change)] }));
    expect(plan).toMatchObject({ status: 'short', plannedMm: 0, shortMm: 1 });
    expect(plan.contacts[0]).toMatchObject({ totalMm: 0, surfacesMm: [0, 0], byVisitMm: [0, 0, 0] });
  });

  it('a visit limit below one step, or no contact at all, gives nothing', () => {
    expect(planReduction(makeRequest({ perVisitLimitMm: 0.05 })).plannedMm).toBe(0);
    expect(planReduction(makeRequest({ contacts: [] }))).toMatchObject({ status: 'short', contacts: [] });
  });

  it('works in whole steps where the step does not divide the limits', () => {
    const contacts = [makeContact([41, 31], { limitMm: 0.5 })];
    const plan = planReduction(makeRequest({ stepMm: 0.15, neededMm: 1, perVisitLimitMm: 0.2, contacts }));
    expect(plan).toMatchObject({ goalMm: 0.9, plannedMm: 0.45, shortMm: 0.45 });
    expect(plan.contacts[0].byVisitMm).toEqual([0.15, 0.15, 0.15]);
  });
});

describe('laws', () => {
  const seeds = fc.record({ seed: fc.integer({ min: 1, max: 1e6 }), count: fc.integer({ min: 1, max: 7 }) });
  const check = (law: (seed: number, count: number) => void) =>
    fc.assert(
      fc.property(seeds, ({ seed, count }) => law(seed, count)),
      { seed: 20_251, numRuns: 400 },
    );

  it('no limit is ever exceeded and every sum adds up', () => {
    check((seed, count) => {
      const request = randomRequest(seed, count);
      const plan = planReduction(request);
      plan.contacts.forEach((c, i) => {
        const asked = request.contacts[i];
        const slack = 1e-9;
        expect(c.totalMm).toBeLessThanOrEqual(asked.locked ? 0 : asked.limitMm + slack);
        expect(c.surfacesMm[0]).toBeLessThanOrEqual(asked.surfaceLimitsMm[0] + slack);
        expect(c.surfacesMm[1]).toBeLessThanOrEqual(asked.surfaceLimitsMm[1] + slack);
        expect(Math.min(...c.surfacesMm, ...c.byVisitMm, c.heldBackMm)).toBeGreaterThanOrEqual(0);
        expect(add(c.surfacesMm)).toBeCloseTo(c.totalMm, 8);
        expect(add(c.byVisitMm)).toBeCloseTo(c.totalMm, 8);
        expect(c.byVisitMm).toHaveLength(request.visits);
        expect(Math.max(...c.byVisitMm)).toBeLessThanOrEqual(request.perVisitLimitMm + slack);
        expect(add(c.byVisitMm.slice(0, asked.reachableFromVisit - 1))).toBe(0);
        expect(c.heldBackMm).toBeLessThanOrEqual(c.totalMm);
      });
      expect(add(totals(plan))).toBeCloseTo(plan.plannedMm, 8);
      expect(add(plan.contacts.map((c) => c.heldBackMm))).toBeCloseTo(plan.heldBackMm, 8);
      expect(plan.plannedMm + plan.shortMm).toBeCloseTo(plan.goalMm, 8);
      expect(plan.goalMm).toBeLessThanOrEqual(Math.max(0, request.neededMm) + 1e-8);
    });
  });

  it('the order of the contacts changes nothing, and the same request gives the same bits', () => {
    check((seed, count) => {
      const request = randomRequest(seed, count);
      const plan = planReduction(request);
      expect(planReduction(structuredClone(request))).toEqual(plan);
      const turned = planReduction({ ...request, contacts: [...request.contacts].reverse() });
      expect({ ...turned, contacts: [...turned.contacts].reverse() }).toEqual(plan);
    });
  });

  it('more need never plans less, and another visit never reaches less', () => {
    check((seed, count) => {
      const request = randomRequest(seed, count);
      const plan = planReduction(request);
      const more = planReduction({ ...request, neededMm: request.neededMm + request.stepMm });
      expect(more.plannedMm).toBeGreaterThanOrEqual(plan.plannedMm);
      const longer = planReduction({ ...request, visits: request.visits + 1 });
      expect(longer.plannedMm).toBeGreaterThanOrEqual(plan.plannedMm);
    });
  });

  it('plans a whole arch of 13 contacts over 6 visits', () => {
    const contacts = contactsFor('upper', 7).map((teeth) => makeContact(teeth));
    const plan = planReduction(makeRequest({ jaw: 'upper', neededMm: 4.5, visits: 6, contacts }));
    expect(plan.contacts).toHaveLength(13);
    expect(plan).toMatchObject({ status: 'meets', plannedMm: 4.5 });
    expect(Math.max(...totals(plan))).toBe(0.4);
    expect(Math.min(...totals(plan))).toBe(0.3);
  });
});
