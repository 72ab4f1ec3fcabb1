import { describe, expect, it } from 'vitest';
import { archOrder, positionOf } from '../../../src/core/base/tooth.ts';
import { defaultSurfaceLimitMm, enamelThickness } from '../../../src/core/reduction/enamel.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { type ReductionSettings, reductionRequest } from '../../../src/core/reduction/reductionRequest.ts';
import { whatBinds } from '../../../src/core/reduction/whatBinds.ts';
import type { Ledger } from '../../../src/core/space/Ledger.ts';
import { makeChoice, makeContact, makeRequest } from '../../support/reductionRequests.ts';

const makeSettings = (change: Partial<ReductionSettings> = {}): ReductionSettings => ({
  neededMm: null,
  stepMm: 0.1,
  overshootRisk: 0.05,
  visits: 4,
  perVisitLimitMm: 0.3,
  contacts: [],
  ...change,
});

const makeLedger = (differenceMm: number | null): Ledger => ({
  jaw: 'lower',
  entries: [],
  availableMm: null,
  requiredMm: null,
  differenceMm,
  sdMm: differenceMm === null ? null : 0.25,
  missing: differenceMm === null ? ['width of 34'] : [],
});

const lowerTeeth = archOrder('lower').filter((tooth) => positionOf(tooth) <= 7);
const build = (settings: ReductionSettings, ledger: Ledger | null = makeLedger(-2.34)) =>
  reductionRequest({ jaw: 'lower', ledger, settings, present: lowerTeeth });

describe('enamel', () => {
  // Half of the published mean of each surface, mm. Vellini-Ferreira 2012 (lower 1 mesial 0.675, lower 5 1.376 and
  // 1.450, lower 2 and 3 mesial 0.734–0.781), Munhoz 2012 (upper 4 1.22 and 1.28–1.39), Sarig 2015 (first molar 1.48).
  it.each([
    [31, 'mesial', 0.3375, 0.3375],
    [32, 'mesial', 0.367, 0.3905],
    [33, 'mesial', 0.367, 0.3905],
    [45, 'mesial', 0.688, 0.688],
    [45, 'distal', 0.725, 0.725],
    [14, 'mesial', 0.61, 0.61],
    [24, 'distal', 0.64, 0.695],
    [16, 'mesial', 0.74, 0.74],
    [13, 'mesial', 0.59, 0.59],
  ] as const)('half the published mean at %d %s', (tooth, surface, low, high) => {
    const limit = defaultSurfaceLimitMm(tooth, surface);
    expect(limit).toBeGreaterThanOrEqual(low - 1e-12);
    expect(limit).toBeLessThanOrEqual(high + 1e-12);
  });

  it('earlier treatment lowers the limit, never below nothing', () => {
    expect(defaultSurfaceLimitMm(31, 'mesial', 0.2)).toBeCloseTo(0.1375, 12);
    expect(defaultSurfaceLimitMm(31, 'mesial', 0.5)).toBe(0);
    expect(defaultSurfaceLimitMm(75, 'mesial')).toBe(0);
  });

  it('every permanent surface has a sourced figure within what has ever been measured (0.44–1.6 mm)', () => {
    for (const tooth of [...archOrder('upper'), ...archOrder('lower')])
      for (const surface of ['mesial', 'distal'] as const) {
        const thickness = enamelThickness(tooth, surface)!;
        expect(thickness.meanMm).toBeGreaterThan(0.44);
        expect(thickness.meanMm).toBeLessThan(1.6);
        expect(thickness.source.text.length).toBeGreaterThan(10);
      }
  });
});

describe('reductionRequest', () => {
  it('asks for the shortage of the ledger over the contacts between the first molars', () => {
    const { request, limits, left } = build(makeSettings());
    expect(request).toMatchObject({ jaw: 'lower', neededMm: 2.34, neededSdMm: 0.25, visits: 4 });
    expect(request.contacts.map((c) => c.teeth.join('-'))).toEqual([
      '46-45',
      '45-44',
      '44-43',
      '43-42',
      '42-41',
      '41-31',
      '31-32',
      '32-33',
      '33-34',
      '34-35',
      '35-36',
    ]);
    expect(left.map((l) => l.why)).toEqual(['behind-first-molar', 'behind-first-molar']);
    const midline = request.contacts[5];
    expect(midline).toMatchObject({ limitMm: 0.5, surfaceLimitsMm: [0.3375, 0.3375], locked: false });
    expect(limits[5]).toMatchObject({ stricter: 'contact', surfaceFrom: ['half-enamel', 'half-enamel'] });
    expect(planReduction(request).status).toBe('meets');
  });

  it('earlier reduction makes the surfaces the stricter limit', () => {
    const { limits } = build(makeSettings({ contacts: [makeChoice({ earlierReductionMm: [0.2, 0.1] })] }));
    expect(limits[5].surfacesMm).toEqual([0.1375, 0.2375]);
    expect(limits[5]).toMatchObject({
      stricter: 'surfaces',
      surfaceFrom: ['half-enamel-less-earlier', 'half-enamel-less-earlier'],
    });
  });

  it('a choice naming the teeth the other way round is read the right way round', () => {
    const choice = makeChoice({
      teeth: [31, 41],
      surfaceLimitsMm: [0.05, null],
      earlierReductionMm: [0, 0.1],
    });
    expect(build(makeSettings({ contacts: [choice] })).limits[5].surfacesMm).toEqual([0.2375, 0.05]);
  });

  it('a higher limit counts only with a reason', () => {
    const wished = makeChoice({ limitMm: 0.8, surfaceLimitsMm: [0.5, null] });
    const silent = build(makeSettings({ contacts: [wished] })).limits[5];
    expect(silent).toMatchObject({
      limitMm: 0.5,
      surfacesMm: [0.3375, 0.3375],
      reasonMissing: true,
      exceedsDefault: false,
    });
    const spoken = build(
      makeSettings({ contacts: [{ ...wished, limitReason: 'thick enamel on the radiograph' }] }),
    ).limits[5];
    expect(spoken).toMatchObject({
      limitMm: 0.8,
      surfacesMm: [0.5, 0.3375],
      reasonMissing: false,
      exceedsDefault: true,
    });
  });

  it('a reason of blanks is no reason; the usual limit itself needs none', () => {
    const of = (change: Parameters<typeof makeChoice>[0]) =>
      build(makeSettings({ contacts: [makeChoice(change)] })).limits[5];
    expect(of({ limitMm: 0.8, limitReason: '  \n' })).toMatchObject({
      limitMm: 0.5,
      reasonMissing: true,
      exceedsDefault: false,
      reason: '',
    });
    expect(of({ limitMm: 0.5, surfaceLimitsMm: [0.3375, null] })).toMatchObject({
      limitMm: 0.5,
      surfacesMm: [0.3375, 0.3375],
      reasonMissing: false,
      exceedsDefault: false,
    });
    expect(of({ limitMm: 0.51 }).reasonMissing).toBe(true);
  });

  it('says whose limit it is, and what it would be without the user', () => {
    const at = (change: Parameters<typeof makeChoice>[0]) =>
      build(makeSettings({ contacts: [makeChoice(change)] })).limits[5];
    expect(build(makeSettings()).limits[5].limitFrom).toBe('default');
    expect(at({ lock: 'refused' }).limitFrom).toBe('default');
    const lowered = at({ limitMm: 0.2, surfaceLimitsMm: [0.1, null], earlierReductionMm: [0, 0.2] });
    expect(lowered).toMatchObject({
      limitFrom: 'user',
      limitMm: 0.2,
      surfacesMm: [0.1, 0.1375],
      usualLimitMm: 0.5,
      usualSurfacesMm: [0.3375, 0.1375], // half of 0.675 mm, less what was taken earlier
    });
  });

  it('teeth of the other jaw make no contact, nor do a primary tooth and its successor in one place', () => {
    const both = reductionRequest({
      jaw: 'lower',
      ledger: makeLedger(-1),
      settings: makeSettings(),
      present: [11, 21, ...lowerTeeth],
    });
    expect(both.request.contacts).toEqual(build(makeSettings(), makeLedger(-1)).request.contacts);
    expect(both.left).toHaveLength(2);
    const mixed = reductionRequest({
      jaw: 'lower',
      ledger: makeLedger(-1),
      settings: makeSettings(),
      present: [34, 35, 75, 36],
    });
    expect(mixed.request.contacts.every(({ teeth }) => !(teeth.includes(35) && teeth.includes(75)))).toBe(
      true,
    );
    expect(mixed.left).toContainEqual({ teeth: [35, 75], why: 'gap-too-wide' });
  });

  it('a primary tooth has no published enamel, and its limit says so', () => {
    const { limits } = reductionRequest({
      jaw: 'lower',
      ledger: makeLedger(-1),
      settings: makeSettings(),
      present: [74, 75],
    });
    expect(limits[0]).toMatchObject({
      surfacesMm: [0, 0],
      surfaceFrom: ['no-published-value', 'no-published-value'],
      stricter: 'surfaces',
    });
  });

  it('a balance of nothing is a need of 0, without a sign', () => {
    expect(build(makeSettings(), makeLedger(0)).request.neededMm).toBe(0);
  });

  it('without an account and without a figure there is nothing to plan for', () => {
    expect(() => build(makeSettings(), null)).toThrow(
      expect.objectContaining({
        code: 'request-invalid',
        message: expect.stringContaining('missing: a space account'),
        detail: { field: 'neededMm', missing: [] },
      }),
    );
    expect(() => build(makeSettings(), makeLedger(null))).toThrow(
      expect.objectContaining({ detail: { field: 'neededMm', missing: ['width of 34'] } }),
    );
    expect(build(makeSettings({ neededMm: 1 }), null).request).toMatchObject({ neededMm: 1, neededSdMm: 0 });
  });

  it('locks are passed on, and a gap of two teeth is no contact', () => {
    const settings = makeSettings({ contacts: [makeChoice({ lock: 'implant', reachableFromVisit: 2 })] });
    expect(build(settings).request.contacts[5]).toMatchObject({ locked: true, reachableFromVisit: 2 });
    const gapped = reductionRequest({
      jaw: 'lower',
      ledger: makeLedger(-1),
      settings: makeSettings(),
      present: lowerTeeth.filter((tooth) => ![34, 35, 42].includes(tooth)),
    });
    expect(gapped.left).toContainEqual({ teeth: [33, 36], why: 'gap-too-wide' });
    expect(gapped.request.contacts.map((c) => c.teeth)).toContainEqual([43, 41]);
    expect(planReduction(gapped.request).status).toBe('meets');
  });

  it('an account with something missing is refused and says what; an own figure goes ahead', () => {
    expect(() => build(makeSettings(), makeLedger(null))).toThrow(/missing: width of 34/);
    expect(build(makeSettings({ neededMm: 1.5 }), makeLedger(null)).request).toMatchObject({
      neededMm: 1.5,
      neededSdMm: 0,
    });
    expect(build(makeSettings({ neededMm: -0.5 })).request.neededMm).toBe(-0.5);
  });
});

describe('whatBinds', () => {
  it('names the limit that stops each contact', () => {
    const request = makeRequest({
      neededMm: 5,
      visits: 2,
      contacts: [
        makeContact([43, 42], { locked: true }),
        makeContact([42, 41], { surfaceLimitsMm: [0.1, 0.1] }),
        makeContact([41, 31]),
        makeContact([31, 32], { reachableFromVisit: 2 }),
        makeContact([32, 33], { reachableFromVisit: 3 }),
      ],
    });
    const plan = planReduction(request);
    expect(whatBinds(plan, request).map((b) => b.binds)).toEqual([
      'locked',
      'surface-limits',
      'contact-limit',
      'visits',
      'not-reachable',
    ]);
    expect(whatBinds(plan, request).map((b) => b.spareMm)).toEqual([0, 0, 0, 0, 0]);
  });

  it('says for each what it gives and what stops it, in the step’s own decimals', () => {
    const request = makeRequest({
      stepMm: 0.05,
      neededMm: 5,
      visits: 2,
      perVisitLimitMm: 0.3,
      contacts: [
        makeContact([43, 42], { locked: true }),
        makeContact([42, 41], { surfaceLimitsMm: [0.1, 0.15] }),
        makeContact([41, 31], { limitMm: 0.45 }),
        makeContact([31, 32], { reachableFromVisit: 2 }),
        makeContact([32, 33], { reachableFromVisit: 3 }),
      ],
    });
    const found = whatBinds(planReduction(request), request);
    expect(found.map((b) => b.text)).toEqual([
      'Locked: nothing is taken here.',
      '0.25 mm: all that the limits of its two surfaces (0.10 and 0.15 mm) allow.',
      '0.45 mm: all that the contact limit of 0.45 mm allows.',
      '0.30 mm: all that visits 2 to 2 allow at 0.3 mm a visit.',
      'Out of reach until visit 3, after the last of 2.',
    ]);
    expect(found.map((b) => b.capacityMm)).toEqual([0.5, 0.25, 0.45, 0.5, 0.5]);
    expect(found.map((b) => b.share)).toEqual([0, 1, 1, 0.6, 0]);
  });

  it('a contact without any capacity has a share of 0, not of nothing by nothing', () => {
    const request = makeRequest({ contacts: [makeContact([41, 31], { limitMm: 0 }), makeContact([42, 41])] });
    const found = whatBinds(planReduction(request), request);
    expect(found.map((b) => b.share)).toEqual([0, 1]);
    expect(found[0].binds).toBe('contact-limit');
  });

  it('names none where the goal is reached without the contact', () => {
    const request = makeRequest({ neededMm: 0.3 });
    const found = whatBinds(planReduction(request), request);
    expect(found.map((b) => [b.binds, b.amountMm, b.spareMm])).toEqual([
      ['none', 0, 0.5],
      ['none', 0.1, 0.4],
      ['none', 0.1, 0.4],
      ['none', 0.1, 0.4],
      ['none', 0, 0.5],
    ]);
    expect(found[0].text).toBe('Not needed: the goal is reached without it.');
    expect(found[1].text).toBe('0.1 mm: its fair share; no contact gives more than 20 % of its capacity.');
    expect(found.map((b) => b.share)).toEqual([0, 0.2, 0.2, 0.2, 0]);
  });
});
