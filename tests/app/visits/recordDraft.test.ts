import { describe, expect, it } from 'vitest';
import { EMPTY_ROW, entriesOf, measuredOf, type VisitDraft } from '../../../src/app/visits/recordDraft.ts';
import { withCuts } from '../../../src/app/visits/visitEdits.ts';
import { standingEntries } from '../../../src/core/visits/CutEntry.ts';
import { demoCase, lowerOf } from '../../support/demoCase.ts';

const contacts = [
  [42, 41],
  [41, 31],
  [31, 32],
] as const;
const due = new Map([
  ['42-41', 0.2],
  ['41-31', 0.1],
]);
const draft = (rows: VisitDraft['rows'], change: Partial<VisitDraft> = {}): VisitDraft => ({
  visit: 1,
  date: '2026-03-02',
  way: 'gauge',
  instrument: 'strip',
  rows,
  ...change,
});
const NOW = '2026-03-02T09:00:00.000Z';

describe('what is typed at the chair', () => {
  it('makes an entry of each contact touched, with what was planned there', () => {
    const entries = entriesOf(
      draft({
        '42-41': { ...EMPTY_ROW, amountMm: 0.2, stops: true },
        '31-32': { ...EMPTY_ROW, notCut: true },
      }),
      contacts,
      due,
      [],
      NOW,
    );
    expect(entries).toMatchObject([
      { teeth: [42, 41], plannedMm: 0.2, how: { by: 'gauge', passesMm: 0.2, stopsMm: 0.3 }, replaces: null },
      { teeth: [31, 32], plannedMm: 0, how: { by: 'not-cut' }, replaces: null },
    ]);
  });

  it('steps of a tenth stay tenths, whatever binary fractions make of them', () => {
    const how = measuredOf({ ...EMPTY_ROW, amountMm: 0.1 + 0.2, stops: true }, 'gauge');
    expect(how).toEqual({ by: 'gauge', passesMm: 0.3, stopsMm: 0.4, beforeMm: 0 });
    expect(measuredOf(EMPTY_ROW, 'gauge')).toBeNull();
    expect(measuredOf({ ...EMPTY_ROW, amountMm: 0.25 }, 'feel')).toEqual({ by: 'feel', amountMm: 0.25 });
  });

  it('a correction names the entry it replaces and keeps what was planned then', () => {
    const record = withCuts(
      lowerOf(demoCase()),
      entriesOf(draft({ '41-31': { ...EMPTY_ROW, amountMm: 0.3 } }), contacts, due, [], NOW),
    );
    const standing = standingEntries(record.visits ?? []);
    const corrected = withCuts(
      record,
      entriesOf(draft({ '41-31': { ...EMPTY_ROW, amountMm: 0.2 } }), contacts, new Map(), standing, NOW),
    );
    expect(corrected.visits).toHaveLength(2);
    expect(corrected.visits?.[1]).toMatchObject({ id: 2, plannedMm: 0.1, replaces: 1 });
    expect(standingEntries(corrected.visits ?? [])).toHaveLength(1);
  });
});
