import { describe, expect, it } from 'vitest';
import { archAccount, recordMeasures } from '../../../src/core/casefile/archAccount.ts';
import type { ArchRecord } from '../../../src/core/casefile/CaseDocument.ts';
import { followUpAccount, visitAccount } from '../../../src/core/casefile/visitAccount.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { FollowUpRecord } from '../../../src/core/visits/FollowUpRecord.ts';
import { demoCase, lowerOf } from '../../support/demoCase.ts';
import { gauge, LOWER_CONTACTS, makeEntry, makeMeasure } from '../../support/visitCases.ts';

function agreedOf(record: ArchRecord) {
  const { asked } = archAccount(record);
  if (!asked) throw new Error('nothing asked');
  return { request: asked.request, limits: asked.limits, plan: planReduction(asked.request) };
}

/** The first scan's own marks as a follow-up: its account has to come out the same. */
function sameAgain(record: ArchRecord, separation: number | null): FollowUpRecord {
  const measure = makeMeasure(
    LOWER_CONTACTS.map((teeth) => ({
      teeth,
      enamelGone: { valueMm: 0, sdMm: 0.05 },
      separationAfter: separation === null ? null : { valueMm: separation, sdMm: 0.05 },
    })),
    { earlierSha256: record.scan.sha256 },
  );
  return {
    scan: { ...record.scan, sha256: 'b'.repeat(64) },
    date: '2026-03-02',
    afterVisit: 0,
    medianEdgeMm: record.medianEdgeMm,
    frame: record.frame,
    measure,
    marks: record.readings[0].marks,
  };
}

describe('visits of a case', () => {
  const record = lowerOf(demoCase());
  const measures = recordMeasures(record);

  it('nothing recorded: the need is the account’s, and the rest is the plan itself', () => {
    const agreed = agreedOf(record);
    const found = visitAccount(record, agreed, [], measures);
    expect(found.balance.needed.valueMm).toBeCloseTo(agreed.request.neededMm, 9);
    expect(found.balance.rest.plan.contacts).toEqual(agreed.plan.contacts);
    expect(found.spacesFrom).toBe('first-scan');
    expect(found.closure.shares).toEqual([]);
  });

  it('a follow-up is measured like the first scan: the same marks give the same shortage', () => {
    const followUp = followUpAccount(record, sameAgain(record, 0.05));
    const { ledger } = archAccount(record);
    expect(followUp.shortage?.valueMm).toBeCloseTo(-(ledger.differenceMm ?? Number.NaN), 12);
    expect(followUp.shortage?.sdMm).toBeCloseTo(ledger.sdMm ?? Number.NaN, 12);
    // A crowded arch: its separations cannot be summed.
    expect(followUp.bySeparations).toBeNull();
    expect(followUp.whyNotBySeparations).toBe('teeth still stand off the arch line');
    const found = visitAccount(record, agreedOf(record), [followUp], measures);
    expect(found.balance.neededFrom).toBe('remeasured');
    expect(found.balance.contradicts).toBe(false);
    expect(found.spacesFrom).toBe('follow-up');
  });

  it('an unmarked follow-up measures enamel but not the need', () => {
    const followUp = followUpAccount(record, { ...sameAgain(record, 0.05), marks: [] });
    expect(followUp).toMatchObject({ account: null, shortage: null, bySeparations: null });
    const found = visitAccount(record, agreedOf(record), [followUp], measures);
    expect(found.balance.neededFrom).toBe('account');
    expect(found.balance.measured?.valueMm).toBeCloseTo(0, 9);
  });

  it('what is on record comes off limits and need', () => {
    const cut = { ...record, visits: [makeEntry([41, 31], gauge(0.3))] };
    const agreed = agreedOf(cut);
    const found = visitAccount(cut, agreed, [], measures);
    expect(found.balance.needed.valueMm).toBeCloseTo(agreed.request.neededMm - 0.3, 9);
    const i = agreed.request.contacts.findIndex(({ teeth }) => teeth[0] === 41 && teeth[1] === 31);
    expect(found.balance.rest.request.contacts[i].limitMm).toBeCloseTo(
      agreed.request.contacts[i].limitMm - 0.3,
      9,
    );
  });

  it('a figure of the user’s own for the need does not hold for a later scan', () => {
    const own = { ...record, plan: { ...record.plan, neededMm: 9 } };
    expect(followUpAccount(own, sameAgain(own, 0.05)).shortage?.valueMm).toBeLessThan(5);
  });
});
