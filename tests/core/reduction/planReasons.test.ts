import loadHighs from 'highs';
import { describe, expect, it } from 'vitest';
import { byPreference } from '../../../src/core/reduction/contactOrder.ts';
import { exceededLimits } from '../../../src/core/reduction/exceededLimits.ts';
import { outsideBandsFor, planBothArches } from '../../../src/core/reduction/planBothArches.ts';
import { commitmentReason, planReach, whyNotInstead } from '../../../src/core/reduction/planReasons.ts';
import { contactRoom, planReduction, reachableSteps } from '../../../src/core/reduction/planReduction.ts';
import { type ContactChoice, reductionRequest } from '../../../src/core/reduction/reductionRequest.ts';
import { makeRandom } from '../../support/random.ts';
import {
  contactsFor,
  makeChoice,
  makeContact,
  makeRequest,
  randomRequest,
} from '../../support/reductionRequests.ts';

describe('why not there instead', () => {
  it('seeds 1–300: every pair has its deciding rule, and the rule is true of the plan', () => {
    const seen = new Map<string, number>();
    for (let seed = 1; seed <= 300; seed++) {
      const request = randomRequest(seed + 5000, 5);
      const options = seed % 3 === 0 ? { midline: { shiftToRightMm: 0, toleranceMm: 0 } } : {};
      const plan = planReduction(request, options);
      const rooms = request.contacts.map((contact) => contactRoom(contact, request));
      const steps = plan.contacts.map((c) => Math.round(c.totalMm / request.stepMm));
      const worst = (x: readonly number[]) =>
        Math.max(...x.map((s, i) => (s > 0 ? s / rooms[i].capacity : 0)));
      const squares = (x: readonly number[]) =>
        x.reduce((sum, s, i) => sum + (s > 0 ? (s * s) / rooms[i].capacity : 0), 0);
      for (let to = 0; to < steps.length; to++)
        for (let from = 0; from < steps.length; from++) {
          if (to === from) continue;
          const pair = { take: request.contacts[to].teeth, give: request.contacts[from].teeth };
          const { rule, text } = whyNotInstead(plan, request, pair, options);
          seen.set(rule, (seen.get(rule) ?? 0) + 1);
          const at = `seed ${seed}, ${pair.give} to ${pair.take}: ${rule}`;
          expect(text.length, at).toBeGreaterThan(10);
          const moved = steps.map((s, i) => s + (i === to ? 1 : i === from ? -1 : 0));
          if (rule === 'limit') expect(steps[to], at).toBe(rooms[to].bound);
          else if (rule === 'nothing-to-give') expect(steps[from], at).toBe(0);
          else if (rule === 'worst-share') expect(worst(moved), at).toBeGreaterThan(worst(steps));
          else if (rule === 'evenness') expect(squares(moved), at).toBeGreaterThan(squares(steps));
          else if (rule === 'preference') {
            expect(squares(moved), at).toBeCloseTo(squares(steps), 9);
            expect(byPreference(pair.give, pair.take), at).toBeLessThan(0);
          }
        }
    }
    for (const rule of ['limit', 'nothing-to-give', 'midline', 'worst-share', 'evenness', 'preference'])
      expect(seen.get(rule) ?? 0, rule).toBeGreaterThan(5);
  });

  it('seeds 1–80: of two arches planned together, every pair has its rule, the ratio among them', async () => {
    const solver = await loadHighs();
    const seen = new Map<string, number>();
    for (let seed = 1; seed <= 80; seed++) {
      const random = makeRandom(seed + 300);
      const request = (jaw: 'upper' | 'lower') =>
        makeRequest({
          jaw,
          neededMm: 0.2 + random(),
          visits: 6,
          contacts: contactsFor(jaw, 4).map((t) =>
            makeContact(t, { limitMm: 0.2 + 0.1 * Math.floor(4 * random()) }),
          ),
        });
      const band = {
        kind: 'anterior' as const,
        lowPercent: 76,
        highPercent: 78,
        upperSumMm: 46,
        lowerSumMm: 34.5 + 3 * random(),
      };
      const input = { upper: request('upper'), lower: request('lower'), bands: [band] };
      const plans = planBothArches(input, solver);
      for (const jaw of ['upper', 'lower'] as const) {
        const outside = outsideBandsFor(jaw, input, plans);
        const rooms = input[jaw].contacts.map((contact) => contactRoom(contact, input[jaw]));
        const steps = plans[jaw].contacts.map((c) => Math.round(c.totalMm / 0.1));
        expect(outside(steps)).toBeCloseTo(plans.outsideBandsMm, 9);
        const squares = (x: readonly number[]) =>
          x.reduce((sum, s, i) => sum + (s > 0 ? (s * s) / rooms[i].capacity : 0), 0);
        for (let to = 0; to < steps.length; to++)
          for (let from = 0; from < steps.length; from++) {
            if (to === from) continue;
            const pair = { take: input[jaw].contacts[to].teeth, give: input[jaw].contacts[from].teeth };
            const { rule } = whyNotInstead(plans[jaw], input[jaw], pair, { outsideBandsMm: outside });
            seen.set(rule, (seen.get(rule) ?? 0) + 1);
            const moved = steps.map((s, i) => s + (i === to ? 1 : i === from ? -1 : 0));
            const at = `seed ${seed} ${jaw}, ${pair.give} to ${pair.take}`;
            if (rule === 'ratio') expect(outside(moved), at).toBeGreaterThan(outside(steps));
            if (rule === 'preference') {
              expect(squares(moved), at).toBeCloseTo(squares(steps), 9);
              expect(byPreference(pair.give, pair.take), at).toBeLessThan(0);
            }
          }
      }
    }
    expect(seen.get('ratio') ?? 0).toBeGreaterThan(20);
  });

  it('says it in words', () => {
    const request = makeRequest({
      neededMm: 0.6,
      contacts: contactsFor('lower', 3).map((t) => makeContact(t)),
    });
    const plan = planReduction(request); // 0.2 at the midline, 0.1 at the other four
    expect(whyNotInstead(plan, request, { take: [42, 41], give: [41, 31] }).text).toBe(
      'As even either way; 41|31 lies nearer the midline, or on the right where both lie alike.',
    );
    expect(whyNotInstead(plan, request, { take: [41, 31], give: [42, 41] }).text).toBe(
      '41|31 would give 60 % of its capacity; now no contact gives more than 40 %.',
    );
  });

  it('says what would be given, missed or lacking, in the figures of the plan', () => {
    const front = (neededMm: number, change: (i: number) => Parameters<typeof makeContact>[1] = () => ({})) =>
      makeRequest({ neededMm, contacts: contactsFor('lower', 3).map((t, i) => makeContact(t, change(i))) });
    const request = front(0.6);
    const plan = planReduction(request); // 0.2 at the midline, 0.1 at the other four, 0.5 may be taken at each
    const less = whyNotInstead(plan, request, { take: [42, 41], give: [43, 42] });
    expect(less).toEqual({
      rule: 'evenness',
      text: 'The load would be less even: 42|41 at 40 % and 43|42 at 0 %, instead of 20 % and 20 %.',
    });
    const one = front(0.1);
    expect(whyNotInstead(planReduction(one), one, { take: [42, 41], give: [43, 42] })).toEqual({
      rule: 'nothing-to-give',
      text: 'Nothing is planned at 43|42 that 42|41 could take over.',
    });
    const locked = front(0.6, (i) => ({ locked: i === 1 }));
    const full = whyNotInstead(planReduction(locked), locked, { take: [42, 41], give: [41, 31] });
    expect(full.rule).toBe('limit');
    expect(full.text).toMatch(/^42\|41 can give no more\. .*lock/i);
    // A tenth from left to right moves the middle by a tenth: out of balance by so much more.
    const balanced = { midline: { shiftToRightMm: 0, toleranceMm: 0 } };
    const even = planReduction(request, balanced);
    expect(whyNotInstead(even, request, { take: [42, 41], give: [31, 32] }, balanced)).toEqual({
      rule: 'midline',
      text: 'The middle of the arch would then miss the wish by 0.10 mm more.',
    });
    // Within the tolerance nothing is missed, and the next rule decides.
    const near = { midline: { shiftToRightMm: 0, toleranceMm: 0.1 } };
    expect(
      whyNotInstead(planReduction(request, near), request, { take: [42, 41], give: [31, 32] }, near).rule,
    ).toBe('evenness');
    // The ratio: 0.2 mm nearer to its band by the plan than by what is asked about.
    const outsideBandsMm = (steps: readonly number[]) =>
      steps[1] > plan.contacts[1].totalMm * 10 ? 0.23 : 0.03;
    expect(whyNotInstead(plan, request, { take: [42, 41], give: [43, 42] }, { outsideBandsMm })).toEqual({
      rule: 'ratio',
      text: 'The tooth-size ratio would lie 0.20 mm further from its band.',
    });
  });

  it('calls contacts as it is asked to, and knows those of the request in either order', () => {
    const request = makeRequest({ neededMm: 0.1 });
    const plan = planReduction(request);
    const nameOf = ([a, b]: readonly [number, number]) => `${a} and ${b}`;
    const asked = (take: readonly [number, number], give: readonly [number, number]) => () =>
      whyNotInstead(plan, request, { take, give }, { nameOf });
    expect(asked([42, 41], [43, 42])().text).toBe(
      'Nothing is planned at 43 and 42 that 42 and 41 could take over.',
    );
    expect(asked([41, 42], [42, 43])().rule).toBe('nothing-to-give');
    expect(asked([44, 43], [42, 41])).toThrow(/no contact 44\|43/);
    expect(asked([42, 41], [41, 42])).toThrow(/the same contact twice/);
  });
});

describe('how far a plan reaches', () => {
  it('says what each kind of limit keeps back', () => {
    const contacts = contactsFor('lower', 3).map((teeth, i) =>
      makeContact(teeth, {
        locked: i === 0,
        reachableFromVisit: i === 1 ? 3 : 1,
        limitMm: i === 2 ? 0.2 : 0.5,
        surfaceLimitsMm: i === 3 ? [0.1, 0.1] : [0.3, 0.3],
      }),
    );
    const request = makeRequest({ neededMm: 5, visits: 3, perVisitLimitMm: 0.3, contacts });
    const plan = planReduction(request);
    // 0 (locked), 0.3 (one visit), 0.2 (contact limit), 0.2 (surfaces), 0.5.
    expect(plan).toMatchObject({ status: 'short', plannedMm: 1.2, shortMm: 3.8 });
    const reach = planReach(plan, request);
    expect(reach.binds).toBe('limits');
    // Alone: the lock 0.5; the visits 0.2; contact limits 0.4 at the third and 0.1 at the last; surfaces 0.3.
    expect(reach.heldBy.map(({ limit, amountMm }) => [limit, amountMm])).toEqual([
      ['locks', 0.5],
      ['visits', 0.2],
      ['contact-limits', 0.5],
      ['surface-limits', 0.3],
    ]);
    expect(reach.heldBy[0].text).toBe('The locks keep back 0.5 mm that the other limits would allow.');
  });

  it('seeds 1–200: nothing kept back is more than the plan lacks', () => {
    for (let seed = 1; seed <= 200; seed++) {
      const request = randomRequest(seed + 7000, 4);
      const plan = planReduction(request);
      const { binds, heldBy } = planReach(plan, request);
      expect(binds).toBe({ meets: 'need', short: 'limits', none: 'nothing-needed' }[plan.status]);
      for (const { amountMm } of heldBy) expect(amountMm).toBeLessThanOrEqual(plan.shortMm + 1e-9);
      expect(reachableSteps(request) * request.stepMm).toBeCloseTo(plan.plannedMm, 7);
    }
  });

  it('why so much is committed', () => {
    expect(commitmentReason(makeRequest({ neededMm: 1.24, neededSdMm: 0.2 }))).toMatch(
      /^0\.9 of 1\.2 mm may be cut now: with an SD of 0\.20 mm.*above 5 %/,
    );
    expect(commitmentReason(makeRequest({ neededMm: 1, neededSdMm: 0 }))).toMatch(/^All 1 mm may be cut/);
    expect(commitmentReason(makeRequest({ neededMm: -1 }))).toMatch(/nothing is committed/);
  });
});

describe('limits exceeded on purpose', () => {
  const choice = (change: Partial<ContactChoice>) => makeChoice({ teeth: [44, 43], ...change });
  const built = (contacts: readonly ContactChoice[], neededMm: number) =>
    reductionRequest({
      jaw: 'lower',
      ledger: null,
      present: [44, 43, 42, 41, 31],
      settings: {
        neededMm,
        stepMm: 0.1,
        overshootRisk: 0.05,
        visits: 6,
        perVisitLimitMm: 0.5,
        contacts,
      },
    });

  it('are carried with the reason, and with what the plan makes of them', () => {
    const raised = choice({ limitMm: 0.8, limitReason: 'thick enamel on the radiograph' });
    const { request, limits } = built([raised], 5);
    const [exceeded, ...others] = exceededLimits(planReduction(request), limits);
    expect(others).toEqual([]);
    expect(exceeded).toMatchObject({
      teeth: [44, 43],
      reason: 'thick enamel on the radiograph',
      usualLimitMm: 0.5,
      plannedMm: 0.8,
      contactOverMm: 0.3,
      isUsed: true,
    });
    expect(exceeded.text).toBe(
      '0.30 mm above the usual 0.5 mm of a contact. Reason given: thick enamel on the radiograph',
    );
    const spare = built([raised], 0.3);
    expect(exceededLimits(planReduction(spare.request), spare.limits)[0]).toMatchObject({ isUsed: false });
  });

  it('a surface limit raised shows at the tooth; without a reason nothing is raised', () => {
    const surfaces = choice({
      limitMm: 1.4,
      surfaceLimitsMm: [0.7, 0.7],
      limitReason: 'restorations replaced',
    });
    const { request, limits } = built([surfaces], 5);
    const [exceeded] = exceededLimits(planReduction(request), limits);
    // Half of 1.002 mm at both surfaces: 0.7 is 0.199 above.
    expect(exceeded.surfacesOverMm).toEqual([
      { tooth: 44, overMm: 0.199 },
      { tooth: 43, overMm: 0.199 },
    ]);
    const silent = built([choice({ limitMm: 0.8 })], 5);
    expect(silent.limits[0].reasonMissing).toBe(true);
    expect(exceededLimits(planReduction(silent.request), silent.limits)).toEqual([]);
  });
});
