import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { entryHistory, standingEntries, visitsHeld, withEntry } from '../../../src/core/visits/CutEntry.ts';
import { combineEstimates } from '../../../src/core/visits/combineEstimates.ts';
import { asEstimate, cutEstimate, sumOfCuts } from '../../../src/core/visits/cutEstimate.ts';
import { enamelTaken, surfacesTaken } from '../../../src/core/visits/enamelTaken.ts';
import { seeded } from '../../support/markArches.ts';
import {
  arbitraryEntries,
  gauge,
  LOWER_CONTACTS,
  limitsOf,
  makeEntry,
  makeMeasure,
  makeRequest,
} from '../../support/visitCases.ts';

describe('what one entry says', () => {
  it('gauge: half way between the one that passes and the one that stops, less what passed before', () => {
    const between = cutEstimate(gauge(0.3, 0.4));
    expect(between.valueMm).toBeCloseTo(0.35, 12);
    expect(between.sdMm).toBeCloseTo(0.1 / Math.sqrt(12), 12);
    expect(cutEstimate(gauge(0.3))).toEqual({ valueMm: 0.3, sdMm: 0.05, commonSdMm: 0 });
    expect(cutEstimate(gauge(0.4, 0.5, 0.2)).valueMm).toBeCloseTo(0.25, 12);
    expect(cutEstimate(gauge(0.1, null, 0.3)).valueMm).toBe(0); // never below nothing
  });

  it('an opening anywhere between two gauges has the spread stated (seeded draws)', () => {
    const { uniform } = seeded(5);
    const draws = Array.from({ length: 20_000 }, () => 0.3 + 0.1 * uniform());
    const mean = draws.reduce((sum, x) => sum + x, 0) / draws.length;
    const sd = Math.sqrt(draws.reduce((sum, x) => sum + (x - mean) ** 2, 0) / draws.length);
    const found = cutEstimate(gauge(0.3, 0.4));
    expect(found.valueMm).toBeCloseTo(mean, 2);
    expect(found.sdMm).toBeCloseTo(sd, 3);
  });

  it('by feel: at 0.3 mm the spread and shortfall of the study, and the shortfall adds up over contacts', () => {
    // Kalemaj & Levrini 2021: 0.15 (SD 0.14) mm.
    const one = cutEstimate({ by: 'feel', amountMm: 0.3 });
    expect(one.sdMm).toBeCloseTo(0.14, 12);
    expect(one.commonSdMm).toBeCloseTo(0.15, 12);
    const four = asEstimate(sumOfCuts([one, one, one, one]));
    expect(four.valueMm).toBeCloseTo(1.2, 12);
    expect(four.sdMm).toBeCloseTo(Math.hypot(2 * 0.14, 4 * 0.15), 12);
  });

  it('not cut is exactly nothing', () => {
    expect(cutEstimate({ by: 'not-cut' })).toEqual({ valueMm: 0, sdMm: 0, commonSdMm: 0 });
  });
});

describe('corrections', () => {
  const first = makeEntry([41, 31], gauge(0.2), { id: 1 });
  const list = withEntry([first], makeEntry([41, 31], gauge(0.4), { replaces: 1 }));

  it('keep the earlier entry and count once', () => {
    expect(list).toHaveLength(2);
    expect(list[0]).toBe(first);
    expect(list[1].id).toBe(2);
    expect(standingEntries(list)).toEqual([list[1]]);
    expect(entryHistory(list, list[1])).toEqual([list[1], first]);
    expect(enamelTaken([[41, 31]], list, null)[0].recorded.valueMm).toBeCloseTo(0.4, 12);
  });

  it('of every list: each entry stands or is replaced, and histories cover it', () => {
    fc.assert(
      fc.property(arbitraryEntries, (entries) => {
        const standing = standingEntries(entries);
        const covered = standing.flatMap((entry) => entryHistory(entries, entry));
        expect([...covered].map(({ id }) => id).sort((a, b) => a - b)).toEqual(entries.map(({ id }) => id));
        expect(visitsHeld(entries)).toBe(Math.max(0, ...standing.map(({ visit }) => visit)));
      }),
      { seed: 20260303, numRuns: 200 },
    );
  });
});

describe('enamel of a surface', () => {
  const request = makeRequest(1);
  const limits = limitsOf(request);

  it('both surfaces of a contact add up to it, whatever was recorded', () => {
    fc.assert(
      fc.property(arbitraryEntries, (entries) => {
        const contacts = enamelTaken(LOWER_CONTACTS, entries, null);
        const surfaces = surfacesTaken(limits, entries, null);
        for (const [i, contact] of contacts.entries()) {
          const pair = surfaces.slice(2 * i, 2 * i + 2);
          expect(pair[0].recorded.valueMm + pair[1].recorded.valueMm).toBeCloseTo(
            contact.recorded.valueMm,
            10,
          );
        }
      }),
      { seed: 20260304, numRuns: 200 },
    );
  });

  it('visits add up; earlier treatment stands beside them; what passes the limit is named', () => {
    const entries = [
      makeEntry([41, 31], gauge(0.4), { id: 1, visit: 1 }),
      makeEntry([41, 31], gauge(0.2), { id: 2, visit: 2, firstShare: 1 }),
    ];
    const earlier = limits.map((limit) => ({ ...limit, earlierMm: [0.05, 0.1] as const }));
    const [right, left] = surfacesTaken(earlier, entries, null).filter(({ teeth }) => teeth[0] === 41);
    expect(right).toMatchObject({ tooth: 41, surface: 'mesial', earlierMm: 0.05, isEmpty: false });
    expect(right.taken.valueMm).toBeCloseTo(0.4, 12);
    expect(right.overMm).toBeCloseTo(0.05, 12);
    expect(right.leftMm).toBe(0);
    expect(left.taken.valueMm).toBeCloseTo(0.2, 12);
    expect(left.leftMm).toBeCloseTo(0.15, 12);
  });

  it('a follow-up scan counts for what it saw, the record for what came after it', () => {
    const entries = [
      makeEntry([41, 31], gauge(0.2), { id: 1, visit: 1 }),
      makeEntry([41, 31], gauge(0.1), { id: 2, visit: 2 }),
    ];
    const measure = makeMeasure([{ teeth: [41, 31], enamelGone: { valueMm: 0.2, sdMm: 0.05 } }]);
    const [found] = enamelTaken([[41, 31]], entries, { measure, afterVisit: 1 });
    expect(found.recorded.valueMm).toBeCloseTo(0.3, 12);
    expect(found.taken.valueMm).toBeCloseTo(0.3, 12);
    expect(found.taken.sdMm).toBeCloseTo(Math.hypot(0.05 / Math.SQRT2, 0.05), 12);
    expect(found.disagree).toBe(false);
  });

  it('nothing on record is no measurement: the surfaces speak alone', () => {
    const measure = makeMeasure([{ teeth: [41, 31], enamelGone: { valueMm: 0.3, sdMm: 0.05 } }]);
    const [found] = enamelTaken([[41, 31]], [], { measure, afterVisit: 1 });
    expect(found.taken).toEqual({ valueMm: 0.3, sdMm: 0.05, commonSdMm: 0 });
  });
});

describe('combined estimate', () => {
  const estimate = fc.record({
    valueMm: fc.double({ min: -2, max: 2, noNaN: true }),
    sdMm: fc.double({ min: 0.01, max: 1, noNaN: true }),
  });

  it('lies between its parts, is no less sure than the surest unless they contradict', () => {
    fc.assert(
      fc.property(fc.array(estimate, { minLength: 1, maxLength: 4 }), (estimates) => {
        const found = combineEstimates(estimates);
        if (!found) throw new Error('nothing combined');
        const values = estimates.map(({ valueMm }) => valueMm);
        expect(found.valueMm).toBeGreaterThanOrEqual(Math.min(...values) - 1e-9);
        expect(found.valueMm).toBeLessThanOrEqual(Math.max(...values) + 1e-9);
        if (found.birgeRatio <= 1)
          expect(found.sdMm).toBeLessThanOrEqual(Math.min(...estimates.map(({ sdMm }) => sdMm)) + 1e-9);
      }),
      { seed: 20260305, numRuns: 300 },
    );
  });

  it('two alike are worth one of half the variance; two apart widen it', () => {
    const alike = combineEstimates([{ valueMm: 0.3, sdMm: 0.1 }, { valueMm: 0.3, sdMm: 0.1 }, null]);
    expect(alike).toMatchObject({ valueMm: 0.3, birgeRatio: 0 });
    expect(alike?.sdMm).toBeCloseTo(0.1 / Math.SQRT2, 12);
    // 0.2 and 0.6 with SD 0.1: χ² = 2 · (0.2 / 0.1)² = 8, ratio √8, SD 0.1 / √2 · √8 = 0.2.
    expect(
      combineEstimates([
        { valueMm: 0.2, sdMm: 0.1 },
        { valueMm: 0.6, sdMm: 0.1 },
      ])?.sdMm,
    ).toBeCloseTo(0.2, 12);
    expect(combineEstimates([null])).toBeNull();
  });
});
