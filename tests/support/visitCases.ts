import fc from 'fast-check';
import { archOrder, type Contact, contactsOf, type Jaw, positionOf } from '../../src/core/base/tooth.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import type { ReductionRequest } from '../../src/core/reduction/ReductionPlan.ts';
import type { ContactLimits } from '../../src/core/reduction/reductionRequest.ts';
import type { BalanceInput, FollowUpKnown } from '../../src/core/visits/balance.ts';
import type { CutEntry, CutMeasured } from '../../src/core/visits/CutEntry.ts';
import type { ContactChange, FollowUpMeasure } from '../../src/core/visits/FollowUp.ts';

/** Contacts of a lower arch from first molar to first molar. */
export const LOWER_CONTACTS = contactsOf(archOrder('lower').filter((tooth) => positionOf(tooth) <= 6));

export function makeRequest(
  neededMm: number,
  change: Partial<ReductionRequest> = {},
  contacts: readonly Contact[] = LOWER_CONTACTS,
): ReductionRequest {
  return {
    schema: 'archledger/reduction-request@1',
    jaw: 'lower',
    neededMm,
    neededSdMm: 0.3,
    stepMm: 0.1,
    overshootRisk: 0.05,
    visits: 4,
    perVisitLimitMm: 0.3,
    contacts: contacts.map((teeth) => ({
      teeth,
      limitMm: 0.5,
      surfaceLimitsMm: [0.35, 0.35],
      locked: false,
      reachableFromVisit: 1,
    })),
    ...change,
  };
}

export const limitsOf = (request: ReductionRequest): readonly ContactLimits[] =>
  request.contacts.map(({ teeth, limitMm, surfaceLimitsMm }) => ({
    teeth,
    limitMm,
    limitFrom: 'default',
    surfacesMm: surfaceLimitsMm,
    surfaceFrom: ['half-enamel', 'half-enamel'],
    earlierMm: [0, 0],
    radiographMm: [null, null],
    usualLimitMm: limitMm,
    usualSurfacesMm: surfaceLimitsMm,
    stricter: 'contact',
    exceedsDefault: false,
    reason: '',
    reasonMissing: false,
    lock: null,
  }));

export const makeEntry = (teeth: Contact, how: CutMeasured, change: Partial<CutEntry> = {}): CutEntry => ({
  id: 1,
  visit: 1,
  date: '2026-03-02',
  recordedAt: '2026-03-02T09:00:00.000Z',
  teeth,
  plannedMm: 0.2,
  how,
  firstShare: 0.5,
  instrument: 'strip',
  note: '',
  replaces: null,
  ...change,
});

export const gauge = (passesMm: number, stopsMm: number | null = null, beforeMm = 0): CutMeasured => ({
  by: 'gauge',
  passesMm,
  stopsMm,
  beforeMm,
});

export function makeMeasure(
  contacts: readonly Partial<ContactChange>[],
  change: Partial<FollowUpMeasure> = {},
): FollowUpMeasure {
  return {
    jaw: 'lower' as Jaw,
    earlierSha256: 'a'.repeat(64),
    laterSha256: 'b'.repeat(64),
    teeth: [],
    contacts: contacts.map((one) => ({
      teeth: [41, 31],
      separationBefore: null,
      separationAfter: null,
      enamelGone: null,
      doubts: [],
      ...one,
    })),
    reference: { kind: 'teeth', teeth: [46, 36], rmsMm: 0.03 },
    residualRmsMm: 0.03,
    matchedRatio: 0.9,
    ...change,
  } as FollowUpMeasure;
}

export function makeBalanceInput(
  request: ReductionRequest,
  entries: readonly CutEntry[] = [],
  followUp: FollowUpKnown | null = null,
): BalanceInput {
  return {
    request,
    plan: planReduction(request),
    limits: limitsOf(request),
    entries,
    followUp,
    followUps: followUp ? 1 : 0,
    overrides: [],
  };
}

const tenth = (max: number): fc.Arbitrary<number> => fc.integer({ min: 0, max }).map((n) => n / 10);

const arbitraryHow: fc.Arbitrary<CutMeasured> = fc.oneof(
  fc.record({ passes: tenth(5), step: fc.constantFrom(0.1, 0.2), stop: fc.boolean() }).map((g) => {
    return gauge(g.passes, g.stop ? Math.round((g.passes + g.step) * 10) / 10 : null);
  }),
  tenth(5).map((amountMm): CutMeasured => ({ by: 'feel', amountMm })),
  tenth(5).map((amountMm): CutMeasured => ({ by: 'caliper', amountMm })),
  fc.constant<CutMeasured>({ by: 'not-cut' }),
);

/** Entries of a few visits at contacts of a lower arch, some of them corrections of earlier ones. */
export const arbitraryEntries: fc.Arbitrary<readonly CutEntry[]> = fc
  .array(
    fc.record({
      contact: fc.nat({ max: LOWER_CONTACTS.length - 1 }),
      visit: fc.integer({ min: 1, max: 5 }),
      how: arbitraryHow,
      firstShare: fc.constantFrom(0, 0.3, 0.5, 1),
      plannedMm: tenth(3),
      corrects: fc.boolean(),
    }),
    { maxLength: 14 },
  )
  .map((drawn) => {
    const entries: CutEntry[] = [];
    for (const [i, { contact, visit, corrects, ...rest }] of drawn.entries()) {
      const teeth = LOWER_CONTACTS[contact];
      const replaced = new Set(entries.map((entry) => entry.replaces));
      const earlier = entries.find(
        (entry) => entry.teeth === teeth && entry.visit === visit && !replaced.has(entry.id),
      );
      entries.push(
        makeEntry(teeth, rest.how, {
          ...rest,
          visit,
          id: i + 1,
          replaces: corrects && earlier ? earlier.id : null,
        }),
      );
    }
    return entries;
  });

export const arbitraryRequest: fc.Arbitrary<ReductionRequest> = fc
  .record({
    neededMm: fc.double({ min: -3, max: 6, noNaN: true }),
    neededSdMm: fc.double({ min: 0, max: 1, noNaN: true }),
    overshootRisk: fc.constantFrom(0.01, 0.05, 0.2, 0.5),
    visits: fc.integer({ min: 1, max: 6 }),
    perVisitLimitMm: fc.constantFrom(0.1, 0.2, 0.3),
    limits: fc.array(fc.tuple(tenth(5), tenth(4), tenth(4), fc.integer({ min: 1, max: 4 })), {
      minLength: LOWER_CONTACTS.length,
      maxLength: LOWER_CONTACTS.length,
    }),
  })
  .map(({ neededMm, limits, ...rest }) => {
    const request = makeRequest(neededMm, rest);
    return {
      ...request,
      contacts: request.contacts.map((contact, i) => ({
        ...contact,
        limitMm: limits[i][0],
        surfaceLimitsMm: [limits[i][1], limits[i][2]] as const,
        reachableFromVisit: limits[i][3],
      })),
    };
  });

const estimate = (min: number, max: number) =>
  fc.record({
    valueMm: fc.double({ min, max, noNaN: true }),
    sdMm: fc.double({ min: 0.01, max: 0.5, noNaN: true }),
  });

export const arbitraryFollowUp: fc.Arbitrary<FollowUpKnown | null> = fc.option(
  fc
    .record({
      afterVisit: fc.integer({ min: 0, max: 4 }),
      gone: fc.array(fc.option(estimate(-0.1, 0.6), { nil: null }), {
        minLength: LOWER_CONTACTS.length,
        maxLength: LOWER_CONTACTS.length,
      }),
      shortage: fc.option(estimate(-2, 3), { nil: null }),
      bySeparations: fc.option(estimate(-2, 1), { nil: null }),
    })
    .map(({ gone, ...rest }) => ({
      ...rest,
      measure: makeMeasure(gone.map((enamelGone, i) => ({ teeth: LOWER_CONTACTS[i], enamelGone }))),
    })),
  { nil: null },
);
