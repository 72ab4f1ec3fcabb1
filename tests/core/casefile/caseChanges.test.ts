import { describe, expect, it } from 'vitest';
import { archAccount } from '../../../src/core/casefile/archAccount.ts';
import type { CaseDocument } from '../../../src/core/casefile/CaseDocument.ts';
import { type CaseChange, caseChanges } from '../../../src/core/casefile/caseChanges.ts';
import { demoCase, lowerOf, withLower } from '../../support/demoCase.ts';
import { gauge, makeEntry } from '../../support/visitCases.ts';

const moved = (document: CaseDocument, dx: number): CaseDocument => {
  const lower = lowerOf(document);
  const [reading] = lower.readings;
  const marks = reading.marks.map((mark) =>
    mark.tooth === 41 && mark.site === 'mesial'
      ? { ...mark, pointMm: [mark.pointMm[0] + dx, mark.pointMm[1], mark.pointMm[2]] as const }
      : mark,
  );
  return withLower(document, { readings: [{ ...reading, marks }] });
};

const about = (changes: readonly CaseChange[], kind: CaseChange['about']) =>
  changes.filter((change) => change.about === kind);

describe('what changed between two states of a case', () => {
  const before = demoCase();

  it('nothing, between equal states', () => {
    expect(caseChanges(before, demoCase())).toEqual([]);
  });

  it('a mark moved by a known distance, with the width, the balance and the plan that follow', () => {
    const changes = caseChanges(before, moved(before, 0.5));
    expect(about(changes, 'marks')).toEqual([
      { jaw: 'lower', about: 'marks', what: 'Mark 41 mesial', before: 'confirmed', after: 'moved 0.50 mm' },
    ]);
    expect(about(changes, 'widths').map(({ what }) => what)).toEqual(['Width 41']);
    expect(about(changes, 'account')).toHaveLength(1);
    const shortMm = -archAccount(lowerOf(before)).ledger.differenceMm!;
    expect(about(changes, 'account')[0].before).toContain(`−${shortMm.toFixed(2)} mm`);
  });

  it('a move that changes no printed figure is not told', () => {
    expect(caseChanges(before, moved(before, 0.0005))).toEqual([]);
  });

  it('how the arches are planned, the midline, a radiograph and the choice of cutting', () => {
    const lower = lowerOf(before);
    const own = { overall: null, anterior: { lowPercent: 76, highPercent: 78 } };
    const extraMm = { upper: 0, lower: 0.3 };
    const together = { isOn: true, ratios: 'anterior', target: 'own', own, extraMm } as const;
    const contact = {
      teeth: [41, 31] as const,
      limitMm: null,
      limitReason: '',
      surfaceLimitsMm: [null, null] as const,
      earlierReductionMm: [0, 0] as const,
      enamelMm: [0.5, null] as const,
      lock: null,
      reachableFromVisit: 1,
    };
    const midline = { shiftToRightMm: -0.5, toleranceMm: 0.1 };
    const after = withLower(
      { ...before, together, cutting: 'lagana-2021', caliper: [{ tooth: 41, widthMm: 5.4 }] },
      { plan: { ...lower.plan, midline, contacts: [contact] } },
    );
    const words = Object.fromEntries(caseChanges(before, after).map((c) => [c.what, c.after]));
    expect(words['Arches planned']).toBe(
      'both together, anterior ratio, own, anterior 76 to 78 %, at most 0.00 mm (upper) and 0.30 mm (lower) beyond the need',
    );
    expect(words['Forecast cut']).toBe('lagana-2021');
    expect(words['Caliper widths']).toBe('41 5.40 mm');
    expect(words.Midline).toBe('−0.50 mm to the right, within 0.10 mm');
    expect(words['Contacts with settings of their own']).toBe(
      '41–31: enamel on the radiograph 0.50 mm and not read',
    );
    expect(caseChanges(before, { ...before, together: { ...together, isOn: false } })).toEqual([]);
  });

  it('settings, visits, follow-ups, overrides and closing', () => {
    const lower = lowerOf(before);
    const after = withLower(
      { ...before, title: 'Another title' },
      {
        plan: { ...lower.plan, neededMm: 1.3, visits: 3 },
        visits: [makeEntry([41, 31], gauge(0.2))],
        closure: { overCorrectionMm: 0.2, contacts: [[41, 31]] },
        overrides: [
          {
            givenAt: '2026-03-02T09:00:00.000Z',
            reason: 'dark triangle',
            followUps: 0,
            neededMm: -0.2,
            neededSdMm: 0.1,
          },
        ],
      },
    );
    const changes = caseChanges(before, after);
    const told = Object.fromEntries(changes.map(({ what, before: a, after: b }) => [what, [a, b]]));
    expect(told.Title).toEqual([before.title, 'Another title']);
    expect(told.Needed).toEqual(['from the account', '1.30 mm']);
    expect(told.Visits).toEqual(['4', '3']);
    expect(told['Visit 1']).toEqual([null, '1 entry']);
    expect(told['Cutting allowed in excess']).toEqual([null, 'dark triangle']);
    expect(told.Closing).toEqual([null, 'over-correction 0.20 mm, 41–31']);
    // The plan: amounts by contact differ by what the plan in all differs.
    const planned = about(changes, 'plan');
    const amount = (text: string | null): number => Number.parseFloat(text ?? '0');
    const byContact = planned.filter(({ what }) => what.startsWith('Planned at'));
    const inAll = planned.find(({ what }) => what === 'Planned in all');
    const sum = (of: 'before' | 'after') => byContact.reduce((total, row) => total + amount(row[of]), 0);
    expect(sum('before') - sum('after')).toBeCloseTo(
      amount(inAll?.before ?? null) - amount(inAll?.after ?? null),
      9,
    );
  });

  it('the other way round says the same with before and after exchanged', () => {
    const after = moved(withLower(before, { visits: [makeEntry([41, 31], gauge(0.2))] }), 0.3);
    const swap = caseChanges(after, before).filter(({ about: kind }) => kind !== 'marks');
    const straight = caseChanges(before, after).filter(({ about: kind }) => kind !== 'marks');
    expect(swap).toEqual(
      straight.map((change) => ({ ...change, before: change.after, after: change.before })),
    );
  });

  it('another scan is another arch: nothing else is compared', () => {
    const lower = lowerOf(before);
    const other = withLower(before, { scan: { ...lower.scan, sha256: 'f'.repeat(64) }, markSdMm: 0.2 });
    expect(caseChanges(before, other).map(({ what }) => what)).toEqual(['Scan']);
    const none = { ...before, arches: { upper: null, lower: null } };
    expect(caseChanges(before, none)).toMatchObject([{ what: 'Scan', after: null }]);
  });
});
