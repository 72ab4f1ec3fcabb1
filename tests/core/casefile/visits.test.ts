import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Refusal } from '../../../src/core/base/refusal.ts';
import type { ArchRecord, CaseDocument } from '../../../src/core/casefile/CaseDocument.ts';
import { caseJson } from '../../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import type { FollowUpMeasure } from '../../../src/core/visits/FollowUp.ts';
import { arbitraryEntries, gauge, makeEntry, makeMeasure } from '../../support/visitCases.ts';
import { fullCase } from './arbitraryCase.ts';

type Visits = Pick<ArchRecord, 'visits' | 'followUps' | 'closure' | 'overrides'>;

function caseWith(visits: Visits): CaseDocument {
  const document = fullCase();
  const { lower } = document.arches;
  if (!lower) throw new Error('no lower arch');
  return { ...document, arches: { upper: null, lower: { ...lower, ...visits } } };
}

function refusalOf(visits: unknown): Refusal {
  try {
    readDocument(JSON.stringify(caseWith(visits as Visits)), 'case');
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error(`accepted: ${JSON.stringify(visits).slice(0, 300)}`);
}

const earlierSha256 = (): string => fullCase().arches.lower?.scan.sha256 ?? '';
const estimate = { valueMm: 0.2, sdMm: 0.04 };
const measure = (): FollowUpMeasure =>
  makeMeasure([{ teeth: [41, 31], separationAfter: estimate, enamelGone: estimate }], {
    earlierSha256: earlierSha256(),
    teeth: [
      {
        tooth: 41,
        widthChange: { valueMm: -0.1, sdMm: 0.03 },
        enamelGone: [estimate, null],
        movedMm: [0.1, 0.2, 0],
        movedSdMm: 0.02,
        turnedRad: [0.05, 0, 0],
        turnedSdRad: 0.01,
        residualRmsMm: 0.02,
        doubts: ['a doubt'],
      },
    ],
  });
const followUp = () => {
  const { lower } = fullCase().arches;
  if (!lower) throw new Error('no lower arch');
  const { scan, frame, medianEdgeMm } = lower;
  const later = { ...scan, file: 'later.ply', sha256: 'b'.repeat(64) };
  const mark = { tooth: 41, site: 'mesial', pointMm: [1, 2, 3], state: 'proposed', confidence: 0.5 } as const;
  return {
    scan: later,
    date: '2026-03-02',
    afterVisit: 1,
    medianEdgeMm,
    frame,
    measure: measure(),
    marks: [mark],
  };
};
const entry = makeEntry([41, 31], gauge(0.2, 0.3));
const override = {
  givenAt: '2026-03-02T09:00:00.000Z',
  reason: 'dark triangle',
  followUps: 1,
  neededMm: -0.4,
  neededSdMm: 0.1,
};

describe('visits in a case', () => {
  it('are read back to the bit, and stay absent where they are absent', () => {
    const whole: Visits = {
      visits: [entry, makeEntry([41, 31], { by: 'not-cut' }, { id: 2, replaces: 1, note: 'wrong tooth' })],
      followUps: [followUp()],
      closure: { overCorrectionMm: 0.15, contacts: [[41, 31]] },
      overrides: [override],
    };
    for (const visits of [whole, {}, { visits: [], closure: { overCorrectionMm: 0, contacts: null } }]) {
      const document = caseWith(visits);
      expect(readDocument(caseJson(document), 'case')).toEqual(document);
    }
  });

  it('of any kind are read back to the bit', () => {
    fc.assert(
      fc.property(arbitraryEntries, (visits) => {
        const document = caseWith({ visits });
        expect(readDocument(caseJson(document), 'case')).toEqual(document);
      }),
      { seed: 20260306, numRuns: 60 },
    );
  });

  const correction = (change: object) => [entry, { ...entry, id: 2, replaces: 1, ...change }];
  it.each([
    [
      'a gauge that stops where it passes',
      { visits: [{ ...entry, how: gauge(0.3, 0.3) }] },
      'visits[0].how.stopsMm',
    ],
    ['a cut that no contact gives', { visits: [{ ...entry, how: gauge(30) }] }, 'visits[0].how.passesMm'],
    ['an unknown way of measuring', { visits: [{ ...entry, how: { by: 'guess' } }] }, 'visits[0].how.by'],
    ['a day that is none', { visits: [{ ...entry, date: '2026-02-30' }] }, 'visits[0].date'],
    ['a contact of the other jaw', { visits: [{ ...entry, teeth: [11, 21] }] }, 'visits[0].teeth[0]'],
    ['two entries of one number', { visits: [entry, entry] }, 'visits[1]'],
    ['a correction of nothing', { visits: correction({ replaces: 7 }) }, 'visits[1].replaces'],
    ['a correction at another contact', { visits: correction({ teeth: [42, 41] }) }, 'visits[1].replaces'],
    ['a correction in another visit', { visits: correction({ visit: 2 }) }, 'visits[1].replaces'],
    [
      'an entry corrected twice',
      { visits: [...correction({}), { ...entry, id: 3, replaces: 1 }] },
      'visits[2].replaces',
    ],
    ['an override without a reason', { overrides: [{ ...override, reason: '  ' }] }, 'overrides[0].reason'],
    [
      'a closure that is no closure',
      { closure: { overCorrectionMm: -0.1, contacts: null } },
      'closure.overCorrectionMm',
    ],
    ['an unknown field', { visits: [{ ...entry, surprise: 1 }] }, 'visits[0].surprise'],
  ])('refuses %s, with its path', (_, visits, path) => {
    const refusal = refusalOf(visits);
    expect(refusal.code).toBe('field-invalid');
    expect(refusal.detail.path).toBe(`arches.lower.${path}`);
  });

  it('refuses a follow-up measure of other scans or the other jaw', () => {
    const path = (change: object) => refusalOf({ followUps: [{ ...followUp(), ...change }] }).detail.path;
    const at = 'arches.lower.followUps[0].measure';
    expect(path({ measure: { ...measure(), laterSha256: 'c'.repeat(64) } })).toBe(`${at}.laterSha256`);
    expect(path({ measure: { ...measure(), earlierSha256: 'c'.repeat(64) } })).toBe(`${at}.earlierSha256`);
    expect(path({ measure: { ...measure(), jaw: 'upper' } })).toBe(`${at}.jaw`);
    const upperTooth = { ...measure(), teeth: [{ ...measure().teeth[0], tooth: 11 }] };
    expect(path({ measure: upperTooth })).toBe(`${at}.teeth[0].tooth`);
    expect(refusalOf({ followUps: [followUp(), followUp()] }).detail.path).toBe('arches.lower.followUps[1]');
  });

  it('refuses a damaged measure anywhere', () => {
    const places = JSON.stringify(measure()).match(/"(?!schema)\w+":/g) ?? [];
    expect(places.length).toBeGreaterThan(20);
    for (const place of new Set(places)) {
      const text = JSON.stringify(caseWith({ followUps: [followUp()] }));
      const at = text.lastIndexOf(place);
      const broken = `${text.slice(0, at)}"surprise":${text.slice(at + place.length)}`;
      expect(() => readDocument(broken, 'case'), place).toThrow(Refusal);
    }
  });
});
