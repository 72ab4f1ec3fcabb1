import { describe, expect, it } from 'vitest';
import { archOrder, positionOf } from '../../../src/core/base/tooth.ts';
import { leeway, PUBLISHED_LEEWAY } from '../../../src/core/space/leeway.ts';
import { predictionChoices } from '../../../src/core/space/predictionChoices.ts';
import { type SpaceInput, spaceLedger } from '../../../src/core/space/spaceLedger.ts';
import { enteredTooth, makeMeasures } from '../../support/measures.ts';

// Lower incisors of 22 mm together; canines and premolars not yet through.
const unerupted = [43, 44, 45, 33, 34, 35];
const incisors = [42, 41, 31, 32];
const input: SpaceInput = {
  measures: makeMeasures({
    fourSegments: { valueMm: 64, sdMm: 0.4 },
    teeth: archOrder('lower')
      .filter((tooth) => positionOf(tooth) <= 2)
      .map((tooth) => enteredTooth(tooth, 5.5, 0.1)),
  }),
  chart: { missing: [], unerupted, enteredWidths: [] },
  perimeter: 'four-segments',
  allowances: [],
  prediction: { method: 'moyers', percentile: 75 },
};

describe('predictions side by side', () => {
  const rows = predictionChoices(input);
  const of = (id: string) => rows.find((row) => row.id === id)!;

  it('for incisors of 22 mm what each source prints, twice', () => {
    // Moyers, lower: 21.6 at 75 %, 20.9 at 50 %, 22.6 at 95 %.
    expect(of('moyers-75').widthsMm).toBeCloseTo(43.2, 9);
    expect(of('moyers-50').widthsMm).toBeCloseTo(41.8, 9);
    expect(of('moyers-95').widthsMm).toBeCloseTo(45.2, 9);
    // Tanaka and Johnston 1974: half the incisors + 10.5 mm.
    expect(of('tanaka-johnston').widthsMm).toBeCloseTo(2 * (11 + 10.5), 9);
    // Philip 2010, men: 5.55 + 0.71 × incisors; Spanish women 2015: 10.71 + 0.46 × incisors.
    expect(of('philip-2010-men').widthsMm).toBeCloseTo(2 * (5.55 + 0.71 * 22), 9);
    expect(of('spain-2015-women').widthsMm).toBeCloseTo(2 * (10.71 + 0.46 * 22), 9);
    expect(of('antimere')).toMatchObject({ widthsMm: null, balanceMm: null });
    expect(of('antimere').missing).toContain('on the other side is not measured');
  });

  it('each row is what the account gives once it is chosen, differences from the chosen one', () => {
    for (const row of rows) {
      const ledger = spaceLedger({ ...input, prediction: row.prediction });
      expect(row.balanceMm).toBe(ledger.differenceMm);
      expect(row.balanceSdMm).toBe(ledger.sdMm);
    }
    expect(rows.filter(({ isChosen }) => isChosen).map(({ id }) => id)).toEqual(['moyers-75']);
    expect(of('moyers-75').differenceMm).toBe(0);
    expect(of('moyers-50').differenceMm).toBeCloseTo(1.4, 9);
  });

  it('a percentile between the levels has a row of its own', () => {
    const between = predictionChoices({ ...input, prediction: { method: 'moyers', percentile: 60 } });
    expect(between.map(({ id }) => id).slice(0, 6)).toEqual([
      'moyers-5',
      'moyers-15',
      'moyers-25',
      'moyers-50',
      'moyers-60',
      'moyers-65',
    ]);
    expect(between.find(({ isChosen }) => isChosen)?.id).toBe('moyers-60');
  });
});

describe('leeway', () => {
  const primary = [83, 84, 85].map((tooth, i) => ({ tooth, widthMm: [5.9, 7.9, 9.9][i], sdMm: 0.1 }));
  const known = [...incisors.map((tooth) => ({ tooth, widthMm: 5.5, sdMm: 0.1 })), ...primary];
  const moyers = { method: 'moyers', percentile: 75 } as const;

  it('primary less permanent widths of a side, with SD; what is not measured is named', () => {
    const [right, left] = leeway('lower', moyers, known);
    expect(right).toMatchObject({ side: 'right', missing: null });
    expect(right.leewayMm).toBeCloseTo(23.7 - 21.6, 9);
    // Prediction (22.6 − 19.2) ÷ (2 × 1.645), three primary widths, four incisors at 0.6 mm per mm.
    expect(right.sdMm).toBeCloseTo(Math.hypot((22.6 - 19.2) / 3.28971, 0.1 * Math.sqrt(3), 2 * 0.1 * 0.6), 3);
    expect(left).toMatchObject({ leewayMm: null, sdMm: null, missing: 'width of 73, 74, 75' });
  });

  it('of a group partly erupted the measured tooth counts once and its error not at all', () => {
    const partly = leeway('lower', moyers, [...known, { tooth: 43, widthMm: 7, sdMm: 0.3 }])[0];
    const none = leeway('lower', moyers, known)[0];
    expect(partly.leewayMm).toBeCloseTo(none.leewayMm!, 9);
    expect(partly.sdMm).toBeCloseTo(none.sdMm!, 9);
    const all = [43, 44, 45].map((tooth) => ({ tooth, widthMm: 7, sdMm: 0.1 }));
    const erupted = leeway('lower', null, [...known, ...all])[0];
    expect(erupted.leewayMm).toBeCloseTo(2.7, 9);
    expect(erupted.sdMm).toBeCloseTo(0.1 * Math.sqrt(6), 9);
  });

  it('the left side from the left teeth', () => {
    const leftPrimary = [73, 74, 75].map((tooth) => ({ tooth, widthMm: 8, sdMm: 0.1 }));
    const [right, left] = leeway('lower', moyers, [...known, ...leftPrimary]);
    expect([right.side, left.side]).toEqual(['right', 'left']);
    expect(left).toMatchObject({ primaryMm: 24, missing: null });
    expect(left.leewayMm).toBeCloseTo(24 - 21.6, 9);
  });

  it('permanent teeth that nothing tells leave the leeway open, and are named', () => {
    const [right] = leeway('lower', null, known);
    expect(right.primaryMm).toBeCloseTo(23.7, 9);
    expect(right).toMatchObject({ permanentMm: null, leewayMm: null, sdMm: null });
    expect(right.missing).toMatch(/^width of 43, 44, 45/);
    expect(leeway('lower', moyers, known, [44])[0].missing).toMatch(/44 is absent/);
  });

  it('published averages of a side, from memory and marked so', () => {
    const nance = PUBLISHED_LEEWAY.find(({ id }) => id === 'nance-1947')!;
    expect(nance.perSideMm).toEqual({ upper: 0.9, lower: 1.7 });
    expect(nance.source.standing).toBe('memory');
  });
});
