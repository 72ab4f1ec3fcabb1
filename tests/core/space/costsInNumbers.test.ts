import { describe, expect, it } from 'vitest';
import { alternativeWays, WAY_GROUPS, wayGroup } from '../../../src/core/space/alternativeWays.ts';
import { type CostContext, costsInNumbers } from '../../../src/core/space/costsInNumbers.ts';

const DEGREE = Math.PI / 180;
const upper: CostContext = { jaw: 'upper', shortageMm: 4, enamelMm: 20, widthSumsMm: null };
const lower: CostContext = { ...upper, jaw: 'lower' };
const way = (id: string) => alternativeWays('lower').find((w) => w.id === id)!;
const texts = (id: string, inputs: Record<string, number>, amountMm: number, context: CostContext) =>
  costsInNumbers(way(id), inputs, amountMm, context).map(({ text }) => text);

describe('costs in numbers', () => {
  it('overjet: 0.5 mm per 5° of the upper incisors (lecture notes), mm for mm when moved bodily', () => {
    expect(texts('incisor-inclination', { proclinationRad: -5 * DEGREE }, -1, upper)).toEqual([
      'overjet about 0.5 mm smaller',
    ]);
    expect(texts('incisor-inclination', { proclinationRad: 10 * DEGREE }, 2, upper)).toEqual([
      'overjet about 1.0 mm larger',
    ]);
    expect(texts('incisor-inclination', { proclinationRad: 5 * DEGREE }, 1, lower)[0]).toMatch(
      /no figure at hand/,
    );
    expect(texts('incisor-position', { advanceMm: 1 }, 2, upper)).toEqual(['overjet 1.0 mm larger']);
    expect(texts('incisor-position', { advanceMm: 1 }, 2, lower)).toEqual(['overjet 1.0 mm smaller']);
  });

  it('widening: half on each side, a tenth of it lost in ten years (Fenderson 2004: 90 % kept)', () => {
    const found = costsInNumbers(
      way('arch-width-ricketts-1982'),
      { intermolarGainMm: 4, intercanineGainMm: 1 },
      2,
      lower,
    );
    expect(found.map(({ text }) => text)).toEqual([
      '2.0 mm outward at the molar of each side',
      '0.5 mm outward at the canine of each side',
      'about 0.4 mm of the molars’ widening may be lost in ten years',
    ]);
    expect(found[2].source).toMatchObject({
      standing: 'published',
      text: expect.stringContaining('2004;74:439–449'),
    });
  });

  it('levelling: what the rule uses, and 0.4 mm over proximal points at a depth of 4.7 mm (Cho 2016)', () => {
    expect(texts('spee-baldridge-1969', { depthRightMm: 4.7, depthLeftMm: 2 }, -1.44, lower)).toEqual([
      'uses 1.4 mm of space by this rule',
      'over the proximal points the arch would change by 0.4 mm',
    ]);
  });

  it('enamel, ratio, room behind the molars, what extraction leaves over', () => {
    const sums = { ...lower, widthSumsMm: { upper: 100, lower: 92 } };
    expect(texts('reduction', { amountMm: 4 }, 4, sums)).toEqual([
      '4.0 mm of enamel for good, 20 % of the 20.0 mm that published means give its surfaces',
      'overall tooth-size ratio 92.0 → 88.0 %, the other arch as it is',
    ]);
    expect(texts('build-up', { widthAddedMm: 1 }, -1, { ...sums, jaw: 'upper' })).toEqual([
      'overall tooth-size ratio 92.0 → 91.1 %, the other arch as it is',
    ]);
    expect(texts('molar-movement', { distalRightMm: 1.5, distalLeftMm: -0.5 }, 1, lower)).toEqual([
      '1.5 mm of room needed behind the right first molar',
      'the left first molar comes 0.5 mm forward',
    ]);
    expect(texts('extraction', { widthRemovedMm: 14, anchorageLossMm: 4 }, 10, lower)).toEqual([
      '6.0 mm more than is short: to be closed by other means',
      '4.0 mm of it taken by molars coming forward',
    ]);
  });

  it('the other way round: retraction, narrowing, molars back on one side', () => {
    expect(texts('incisor-position', { advanceMm: -2 }, -4, upper)).toEqual(['overjet 2.0 mm smaller']);
    expect(texts('incisor-position', { advanceMm: -2 }, -4, lower)).toEqual(['overjet 2.0 mm larger']);
    // Lower incisors tipped forward come nearer the upper ones.
    const lowerTipped = (degrees: number) =>
      texts('incisor-inclination', { proclinationRad: degrees * DEGREE }, degrees / 5, lower)[0];
    expect(lowerTipped(5)).toMatch(/^overjet smaller/);
    expect(lowerTipped(-5)).toMatch(/^overjet larger/);
    // What was narrowed is not lost by springing back.
    expect(texts('arch-width-kirschen-2000', { intermolarGainMm: -2 }, -1, lower)).toEqual([
      '1.0 mm inward at the molar of each side',
    ]);
    expect(texts('arch-width-adkins-1990', { interpremolarGainMm: 3 }, 2.1, lower)).toEqual([
      '1.5 mm outward at the premolar of each side',
    ]);
    expect(texts('molar-movement', { distalRightMm: 0, distalLeftMm: 1 }, 1, lower)).toEqual([
      '1.0 mm of room needed behind the left first molar',
    ]);
    expect(texts('spee-baldridge-1969', { depthRightMm: 1, depthLeftMm: 4.7 }, -1.44, lower)[1]).toBe(
      'over the proximal points the arch would change by 0.4 mm',
    );
  });

  it('without the enamel or the other arch no share and no ratio; enamel built up is none taken', () => {
    expect(texts('reduction', { amountMm: 4 }, 4, { ...lower, enamelMm: null })).toEqual([
      '4.0 mm of enamel for good',
    ]);
    expect(texts('reduction', { amountMm: 4 }, 4, { ...lower, enamelMm: 0 })).toEqual([
      '4.0 mm of enamel for good',
    ]);
    expect(texts('build-up', { widthAddedMm: 1 }, -1, lower)).toEqual([]);
    expect(texts('extraction', { widthRemovedMm: 3, anchorageLossMm: 0 }, 3, lower)).toEqual([
      '1.0 mm still short by itself',
    ]);
    expect(texts('extraction', { widthRemovedMm: 4, anchorageLossMm: 0 }, 4, lower)).toEqual([
      '0.0 mm more than is short: to be closed by other means',
    ]);
  });

  it('every way stands in one group, the groups in alphabetical order; nothing costs without an amount', () => {
    const titles = WAY_GROUPS.map(({ title }) => title);
    expect([...titles].sort()).toEqual(titles);
    for (const one of alternativeWays('lower')) {
      expect(WAY_GROUPS.some(({ id }) => id === wayGroup(one))).toBe(true);
      const zero = Object.fromEntries(one.inputs.map(({ name }) => [name, 0]));
      expect(costsInNumbers(one, zero, 0, lower), one.id).toEqual([]);
      // Nor does it change the ratio of the arches.
      const measured = { ...lower, widthSumsMm: { upper: 100, lower: 92 } };
      expect(costsInNumbers(one, zero, 0, measured), one.id).toEqual([]);
    }
  });
});
