import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { normalProbability } from '../../../src/core/base/normalDistribution.ts';
import { balance } from '../../../src/core/visits/balance.ts';
import { dueInVisit } from '../../../src/core/visits/restOfPlan.ts';
import {
  arbitraryEntries,
  arbitraryFollowUp,
  arbitraryRequest,
  gauge,
  LOWER_CONTACTS,
  makeBalanceInput,
  makeEntry,
  makeMeasure,
  makeRequest,
} from '../../support/visitCases.ts';

const RUNS = { seed: 20260301, numRuns: 400 };
const anything = fc.tuple(arbitraryRequest, arbitraryEntries, arbitraryFollowUp);

describe('balance, by hand', () => {
  it('one visit as planned: what is taken comes off the need, and the rest is planned anew', () => {
    // 1.3 mm needed (SD 0.3): commit 1.3 − 1.645 · 0.3 = 0.81 → 0.8.
    const request = makeRequest(1.3);
    const entries = [
      makeEntry([42, 41], gauge(0.3), { id: 1 }),
      makeEntry([41, 31], gauge(0.2, 0.3), { id: 2 }),
    ];
    const found = balance(makeBalanceInput(request, entries));
    expect(found.taken.valueMm).toBeCloseTo(0.55, 12);
    // Gauge that just passes 0.05; between two gauges 0.1 / √12.
    expect(found.taken.sdMm).toBeCloseTo(Math.hypot(0.05, 0.1 / Math.sqrt(12)), 12);
    expect(found.needed.valueMm).toBeCloseTo(0.75, 12);
    expect(found.needed.sdMm).toBeCloseTo(Math.hypot(0.3, 0.05, 0.1 / Math.sqrt(12)), 12);
    // 0.75 − 1.645 · 0.3055 = 0.248 → 0.2 mm now, 0.5 held back.
    expect(found.verdict).toMatchObject({ says: 'more', because: 'needed', commitMm: 0.2 });
    expect(found.rest.plan).toMatchObject({ goalMm: 0.7, commitMm: 0.2, heldBackMm: 0.5 });
    expect(found.rest.visitsLeft).toBe(3);
    expect(found.rest.nextVisit).toBe(2);
  });

  it('speaks of enamel taken only once some was', () => {
    const request = makeRequest(1.3);
    const before = balance(makeBalanceInput(request, [])).verdict;
    expect(before.says).toBe('more');
    expect(before.reasons[0]).toContain('are needed by the space account');
    const after = balance(makeBalanceInput(request, [makeEntry([42, 41], gauge(0.3))])).verdict;
    expect(after.reasons[0]).toContain('are still needed by the first account less the enamel taken');
  });

  it('says what becomes of every planned part that may not be cut now', () => {
    const request = makeRequest(1.3);
    const last = (input: ReturnType<typeof makeBalanceInput>) => balance(input).verdict.reasons.at(-1);
    // 1.3 planned, 0.8 sure now: the rest waits.
    expect(last(makeBalanceInput(request, []))).toBe(
      'The plan takes 1.30 mm in all; 0.50 mm of it is held back until a re-measurement.',
    );
    // More than planned went at one contact: of the 0.9 left by contacts 0.75 is needed, 0.2 now and 0.5 held back.
    const entries = [makeEntry([42, 41], gauge(0.3)), makeEntry([41, 31], gauge(0.2, 0.3))];
    expect(last(makeBalanceInput(request, entries))).toBe(
      'The agreed plan has 0.90 mm to go; 0.50 mm of it is held back until a re-measurement, 0.20 mm is left out, because less is needed now.',
    );
  });

  it('a surface cut to its limit gives nothing more', () => {
    const request = makeRequest(4, { neededSdMm: 0.1 });
    const entries = [makeEntry([41, 31], gauge(0.5))];
    const found = balance(makeBalanceInput(request, entries));
    const row = found.rows.find(({ teeth }) => teeth[0] === 41);
    expect(row?.restMm).toBe(0);
    expect(found.surfaces.find(({ tooth }) => tooth === 41)?.taken.valueMm).toBeCloseTo(0, 12);
    expect(found.surfaces.filter(({ tooth }) => tooth === 41)[1].leftMm).toBeCloseTo(0.1, 12);
  });

  it('a follow-up scan that shows a gap stops the plan and asks for closing', () => {
    const request = makeRequest(1.3);
    const entries = [makeEntry([41, 31], gauge(0.3))];
    const followUp = {
      afterVisit: 1,
      measure: makeMeasure([{ teeth: [41, 31], enamelGone: { valueMm: 0.5, sdMm: 0.05 } }]),
      shortage: { valueMm: -0.5, sdMm: 0.4 },
      bySeparations: { valueMm: -0.6, sdMm: 0.15 },
    };
    const found = balance(makeBalanceInput(request, entries, followUp));
    expect(found.neededFrom).toBe('separations');
    expect(found.verdict).toMatchObject({ says: 'close', because: 'excess', commitMm: 0, stopsPlan: true });
    expect(found.verdict.reasons.join(' ')).toContain('0.60 mm (SD 0.15) in excess');
    expect(found.verdict.reasons.join(' ')).toContain('it is stopped');
    expect(found.rest.plan.plannedMm).toBe(0);
    // 0.3 (SD 0.05) on record and 0.5 (SD 0.05) by the surfaces: 0.4; they differ by 2.8 SDs, and that widens the SD.
    const row = found.rows.find(({ teeth }) => teeth[0] === 41);
    expect(row?.taken.valueMm).toBeCloseTo(0.4, 12);
    expect(row?.taken.sdMm).toBeCloseTo((0.05 / Math.SQRT2) * 2 * Math.SQRT2, 12);
    expect(row?.disagree).toBe(true);
  });

  it('held-back tenths are released by a surer measure, never by cutting', () => {
    const request = makeRequest(1.3);
    const before = balance(makeBalanceInput(request));
    expect(before.rest.plan.commitMm).toBe(0.8);
    const cut = balance(makeBalanceInput(request, [makeEntry([41, 31], gauge(0.3, 0.4))]));
    expect(cut.taken.valueMm + cut.verdict.commitMm).toBeLessThanOrEqual(0.85);
    const sure = balance(
      makeBalanceInput(request, [makeEntry([41, 31], gauge(0.3))], {
        afterVisit: 1,
        measure: makeMeasure([]),
        shortage: { valueMm: 1, sdMm: 0.1 },
        bySeparations: null,
      }),
    );
    expect(sure.verdict).toMatchObject({ says: 'more', commitMm: 0.8 });
  });

  it('what was cut after the follow-up scan comes off its need', () => {
    const followUp = {
      afterVisit: 1,
      measure: makeMeasure([]),
      shortage: { valueMm: 1, sdMm: 0.1 },
      bySeparations: null,
    };
    const entries = [
      makeEntry([41, 31], gauge(0.3), { id: 1, visit: 1 }),
      makeEntry([42, 41], gauge(0.4), { id: 2, visit: 2 }),
    ];
    const found = balance(makeBalanceInput(makeRequest(1.3), entries, followUp));
    expect(found.needed.valueMm).toBeCloseTo(0.6, 12);
    expect(found.needed.sdMm).toBeCloseTo(Math.hypot(0.1, 0.05), 12);
  });

  it('an override is in force until a new scan comes', () => {
    const given = { givenAt: '2026-03-02T09:00:00.000Z', reason: 'r', neededMm: -1, neededSdMm: 0.1 };
    const input = makeBalanceInput(makeRequest(-1));
    expect(balance({ ...input, overrides: [{ ...given, followUps: 0 }] }).override?.reason).toBe('r');
    expect(balance({ ...input, followUps: 1, overrides: [{ ...given, followUps: 0 }] }).override).toBeNull();
  });
});

describe('balance, laws', () => {
  it('amounts add up', () => {
    fc.assert(
      fc.property(anything, ([request, entries, followUp]) => {
        const found = balance(makeBalanceInput(request, entries, followUp));
        const sum = (of: (row: (typeof found.rows)[number]) => number) =>
          found.rows.reduce((total, row) => total + of(row), 0);
        expect(sum((row) => row.plannedMm)).toBeCloseTo(found.plannedMm, 9);
        expect(sum((row) => row.recorded.valueMm)).toBeCloseTo(found.recorded.valueMm, 9);
        expect(sum((row) => row.taken.valueMm)).toBeCloseTo(found.taken.valueMm, 9);
        expect(sum((row) => row.restMm)).toBeCloseTo(found.rest.plan.plannedMm, 9);
        expect(request.neededMm - found.taken.valueMm).toBeCloseTo(found.predicted.valueMm, 9);
        for (const row of found.rows)
          expect(row.plannedMm - row.taken.valueMm).toBeCloseTo(row.stillPlannedMm - row.overCutMm, 8);
        for (let i = 0; i < found.rows.length; i++) {
          const [a, b] = [found.surfaces[2 * i], found.surfaces[2 * i + 1]];
          expect(a.recorded.valueMm + b.recorded.valueMm).toBeCloseTo(found.rows[i].recorded.valueMm, 9);
        }
      }),
      RUNS,
    );
  });

  it('never proposes to cut where space is in excess, or more than is needed at the risk stated', () => {
    fc.assert(
      fc.property(anything, ([request, entries, followUp]) => {
        const found = balance(makeBalanceInput(request, entries, followUp));
        const { valueMm, sdMm } = found.needed;
        if (found.verdict.says === 'more') {
          expect(found.verdict.commitMm).toBeGreaterThan(0);
          const chanceTooMuch = sdMm === 0 ? 0 : normalProbability((found.verdict.commitMm - valueMm) / sdMm);
          expect(chanceTooMuch).toBeLessThanOrEqual(request.overshootRisk + 1e-9);
        } else expect(found.verdict.commitMm).toBe(0);
        if (valueMm <= 0) {
          expect(found.verdict.says).not.toBe('more');
          expect(found.rest.plan.plannedMm).toBe(0);
          for (const contact of found.rest.plan.contacts)
            expect(contact.byVisitMm.every((a) => a === 0)).toBe(true);
        }
        if (found.verdict.says === 'close') {
          const chanceOfExcess = normalProbability(sdMm === 0 ? Number.POSITIVE_INFINITY : -valueMm / sdMm);
          expect(chanceOfExcess).toBeGreaterThanOrEqual(1 - request.overshootRisk - 1e-9);
          expect(-valueMm).toBeGreaterThanOrEqual(0.1);
        }
      }),
      RUNS,
    );
  });

  it('never lets a contact or a surface pass its limit by the rest of the plan', () => {
    fc.assert(
      fc.property(anything, ([request, entries, followUp]) => {
        const found = balance(makeBalanceInput(request, entries, followUp));
        for (const [i, contact] of found.rest.plan.contacts.entries()) {
          if (contact.totalMm === 0) continue;
          const taken = Math.max(0, found.rows[i].taken.valueMm);
          expect(taken + contact.totalMm).toBeLessThanOrEqual(request.contacts[i].limitMm + 1e-8);
          for (const side of [0, 1]) {
            if (contact.surfacesMm[side] === 0) continue;
            const surface = found.surfaces[2 * i + side];
            expect(Math.max(0, surface.taken.valueMm) + contact.surfacesMm[side]).toBeLessThanOrEqual(
              request.contacts[i].surfaceLimitsMm[side] + 1e-8,
            );
          }
        }
      }),
      RUNS,
    );
  });

  it('what is due in the visits of a plan is what it commits', () => {
    fc.assert(
      fc.property(anything, ([request, entries, followUp]) => {
        const { plan } = balance(makeBalanceInput(request, entries, followUp)).rest;
        const due = plan.contacts.reduce(
          (sum, contact) =>
            sum + contact.byVisitMm.reduce((own, _, v) => own + dueInVisit(contact, v + 1), 0),
          0,
        );
        expect(due).toBeCloseTo(plan.plannedMm - plan.heldBackMm, 8);
      }),
      RUNS,
    );
  });

  it('the contacts of the plan need not be those of the arch: order and count are the request’s', () => {
    const found = balance(makeBalanceInput(makeRequest(1, {}, LOWER_CONTACTS.slice(3, 6))));
    expect(found.rows.map((row) => row.teeth)).toEqual(LOWER_CONTACTS.slice(3, 6));
  });
});
