import { describe, expect, it } from 'vitest';
import { allowanceAmount, rulesSideBySide } from '../../../src/core/space/allowanceAmount.ts';
import { ALLOWANCE_RULES, allowanceRule } from '../../../src/core/space/allowanceRules.ts';
import type { Allowance } from '../../../src/core/space/Ledger.ts';
import { severityGrades } from '../../../src/core/space/severity.ts';
import { makeMeasures } from '../../support/measures.ts';

const amount = (rule: string, inputs: Record<string, number>, jaw: 'upper' | 'lower' = 'lower') =>
  allowanceAmount({ kind: allowanceRule(rule)!.kind, rule, inputs }, jaw).amountMm;

describe('rules side by side', () => {
  it('every rule of the kind with what it gives now, and how far it lies from the chosen one', () => {
    const chosen: Allowance = {
      kind: 'arch-width',
      rule: 'arch-width-kirschen-2000',
      inputs: { intermolarGainMm: 4 },
    };
    const rows = rulesSideBySide(chosen, 'lower');
    const of = (id: string) => rows.find(({ rule }) => rule.id === id)!;
    expect(rows.filter(({ isChosen }) => isChosen).map(({ rule }) => rule.id)).toEqual([chosen.rule]);
    expect(of('arch-width-kirschen-2000')).toMatchObject({ amountMm: 2, differenceMm: 0 });
    expect(of('arch-width-motoyoshi-2002').differenceMm).toBeCloseTo(0.37 * 4 - 2, 12);
    expect(of('arch-width-ohiggins-2000').amountMm).toBeCloseTo(1.2, 12);
    expect(of('arch-width-elkholy-2025').amountMm).toBeCloseTo(0.16, 12);
    expect(of('arch-width-paulino-2008')).toMatchObject({
      amountMm: null,
      missing: 'widening between the canines',
      differenceMm: null,
    });
    // Across people, canines: 0.536 in the lower, 1.988 in the upper arch (Bull Natl Res Cent 2021).
    expect(amount('arch-width-egypt-2021', { intercanineGainMm: 2 }, 'lower')).toBeCloseTo(1.072, 12);
    expect(amount('arch-width-egypt-2021', { intercanineGainMm: 2 }, 'upper')).toBeCloseTo(3.976, 12);
    // Elkholy 2025: 0.03 in the upper, 0.04 mm in the lower arch.
    expect(amount('arch-width-elkholy-2025', { intermolarGainMm: 5 }, 'upper')).toBeCloseTo(0.15, 12);
    expect(amount('arch-width-germane-1991', { intercanineGainMm: 1, intermolarGainMm: 1 })).toBeCloseTo(
      1,
      12,
    );
  });

  it('rules of other kinds are not among them', () => {
    const rows = rulesSideBySide({ kind: 'spee', rule: 'spee-none', inputs: {} }, 'lower');
    expect(rows.map(({ rule }) => rule.kind)).toEqual(rows.map(() => 'spee'));
    expect(rows).toHaveLength(ALLOWANCE_RULES.filter(({ kind }) => kind === 'spee').length);
  });

  it('no difference is told from an allowance that has no amount yet', () => {
    const rows = rulesSideBySide({ kind: 'spee', rule: 'spee-garcia-1985', inputs: {} }, 'lower');
    expect(rows.find(({ rule }) => rule.id === 'spee-none')).toMatchObject({
      amountMm: 0,
      differenceMm: null,
    });
  });

  it('the SD is the user’s where one is given, else that of the measured inputs', () => {
    const measures = makeMeasures({
      speeDepthRight: { valueMm: 2, sdMm: 0.3 },
      speeDepthLeft: { valueMm: 2, sdMm: 0.4 },
    });
    const chosen: Allowance = { kind: 'spee', rule: 'spee-garcia-1985', inputs: {}, ownSdMm: 0.8 };
    expect(allowanceAmount(chosen, 'lower', measures)).toMatchObject({ sdMm: 0.8 });
    const { ownSdMm: _, ...bare } = chosen;
    expect(allowanceAmount(bare, 'lower', measures).sdMm).toBeCloseTo(0.657 * 0.5, 6);
  });
});

describe('curve of Spee', () => {
  const depths = (sum: number) => ({ depthRightMm: sum / 2, depthLeftMm: sum / 2 });

  // X = 4 mm: Baldridge 1.442, Garcia 3.968, Braun 0.8125 (computed from the equations quoted in Braun S et al. 1996).
  it.each([
    ['spee-baldridge-1969', 4, -(0.488 * 4 - 0.51)],
    ['spee-garcia-1985', 4, -3.968],
    ['spee-braun-1996', 4, -0.8125],
    ['spee-one-to-one', 4, -2],
    ['spee-none', 4, 0],
    ['spee-baldridge-1969', 1, 0],
    ['spee-braun-1996', 0, 0],
    // Kirschen et al. 2000, values from memory: depth to 3 mm 1 mm, 4 mm 1.5 mm, 5 mm and more 2 mm.
    ['spee-kirschen-2000', 4, -1],
    ['spee-kirschen-2000', 6, -1],
    ['spee-kirschen-2000', 8, -1.5],
    ['spee-kirschen-2000', 10, -2],
    ['spee-kirschen-2000', 14, -2],
    ['spee-kirschen-2000', 0, 0],
  ])('%s at a depth sum of %d mm gives %d mm', (rule, sum, expected) => {
    expect(amount(rule, depths(sum))).toBeCloseTo(expected, 4);
  });

  it.each([
    ['spee-kirschen-2000', -1.5],
    ['spee-one-to-one', -4],
  ])('%s goes by the deeper side, whichever it is, and errs with that side alone', (rule, expected) => {
    expect(amount(rule, { depthRightMm: 4, depthLeftMm: 1 })).toBeCloseTo(expected, 12);
    expect(amount(rule, { depthRightMm: 1, depthLeftMm: 4 })).toBeCloseTo(expected, 12);
    const measures = makeMeasures({
      speeDepthRight: { valueMm: 4, sdMm: 0.3 },
      speeDepthLeft: { valueMm: 1, sdMm: 0.8 },
    });
    const { sdMm } = allowanceAmount({ kind: 'spee', rule, inputs: {} }, 'lower', measures);
    expect(sdMm).toBeCloseTo(rule === 'spee-one-to-one' ? 0.3 : 0.15, 6); // half a mm per mm at 4 mm
  });

  it('nothing needed is 0 without a sign', () => {
    for (const rule of ALLOWANCE_RULES.filter((r) => r.kind === 'spee' && r.id !== 'spee-garcia-1985'))
      expect(amount(rule.id, depths(0)), rule.id).toBe(0); // Garcia asks 1.34 mm even of a flat curve
    expect(amount('build-up', { widthAddedMm: 0 })).toBe(0);
  });

  it('a typed depth that is no number is missing, even where the depth was measured', () => {
    const measures = makeMeasures({
      speeDepthRight: { valueMm: 2, sdMm: 0.3 },
      speeDepthLeft: { valueMm: 2, sdMm: 0.4 },
    });
    const typed: Allowance = {
      kind: 'spee',
      rule: 'spee-one-to-one',
      inputs: { depthRightMm: Number.NaN },
    };
    expect(allowanceAmount(typed, 'lower', measures)).toMatchObject({
      amountMm: null,
      missing: 'greatest depth of the curve, right',
    });
  });

  it('levelling never adds space, and deeper never needs less', () => {
    for (const rule of ALLOWANCE_RULES.filter((r) => r.kind === 'spee')) {
      let before = 0;
      for (let sum = 0; sum <= 12; sum += 0.25) {
        const now = amount(rule.id, depths(sum))!;
        expect(now).toBeLessThanOrEqual(before + 1e-12);
        before = now;
      }
    }
  });

  it('takes the depths from the measures with their SD, unless they are typed', () => {
    const measures = makeMeasures({
      speeDepthRight: { valueMm: 2, sdMm: 0.3 },
      speeDepthLeft: { valueMm: 2, sdMm: 0.4 },
    });
    const rule: Allowance = { kind: 'spee', rule: 'spee-baldridge-1969', inputs: {} };
    const measured = allowanceAmount(rule, 'lower', measures);
    expect(measured.amountMm).toBeCloseTo(-(0.488 * 4 - 0.51), 10);
    expect(measured.sdMm).toBeCloseTo(0.488 * 0.5, 6);
    const typed = allowanceAmount({ ...rule, inputs: { depthRightMm: 3 } }, 'lower', measures);
    expect(typed.amountMm).toBeCloseTo(-(0.488 * 5 - 0.51), 10);
    expect(typed.sdMm).toBeCloseTo(0.488 * 0.4, 6);
  });

  it('says which depth is missing', () => {
    const found = allowanceAmount(
      { kind: 'spee', rule: 'spee-baldridge-1969', inputs: {} },
      'lower',
      makeMeasures({}),
    );
    expect(found).toMatchObject({
      amountMm: null,
      sdMm: null,
      missing: 'greatest depth of the curve, right, greatest depth of the curve, left',
    });
  });
});

describe('other allowances', () => {
  const degrees = (deg: number) => ({ proclinationRad: (deg * Math.PI) / 180 });
  // Incisors: 1 mm of movement is 2 mm of arch; 5° is 1 mm (secondary sources). Widths: factors as quoted in
  // Bull Natl Res Cent 2021 and, for Kirschen, from memory.
  it.each([
    ['incisor-position', { advanceMm: 1 }, 2],
    ['incisor-position', { advanceMm: -3 }, -6],
    ['incisor-inclination', degrees(5), 1],
    ['incisor-inclination', degrees(-10), -2],
    ['incisor-inclination-unequal', degrees(5), 1],
    ['incisor-inclination-unequal', degrees(-10), -1],
    ['incisor-inclination-tweed', degrees(2.5), 2],
    ['arch-width-kirschen-2000', { intermolarGainMm: 2 }, 1],
    ['arch-width-ricketts-1982', { intercanineGainMm: 1, intermolarGainMm: 2 }, 1.5],
    ['arch-width-motoyoshi-2002', { intermolarGainMm: 1 }, 0.37],
    ['arch-width-adkins-1990', { interpremolarGainMm: 3 }, 2.1],
    ['arch-width-paulino-2008', { intercanineGainMm: 2 }, 2.72],
    ['arch-width-germane-1991', { intercanineGainMm: 2, intermolarGainMm: 3 }, 1.46 + 0.81],
    ['arch-width-elkholy-2025', { intermolarGainMm: 10 }, 0.4],
    ['molar-movement', { distalRightMm: 1.5, distalLeftMm: -0.5 }, 1],
    ['extraction', { widthRemovedMm: 14, anchorageLossMm: 4 }, 10],
    ['build-up', { widthAddedMm: 1.2 }, -1.2],
  ] as [string, Record<string, number>, number][])('%s with %o gives %d mm', (rule, inputs, expected) => {
    expect(amount(rule, inputs)).toBeCloseTo(expected, 10);
  });

  it('an own figure stands with its own SD; an unknown or foreign rule is named, not counted as zero', () => {
    expect(
      allowanceAmount({ kind: 'other', rule: 'own', inputs: {}, ownMm: -0.7, ownSdMm: 0.2 }, 'lower'),
    ).toMatchObject({
      amountMm: -0.7,
      sdMm: 0.2,
      missing: null,
    });
    expect(allowanceAmount({ kind: 'other', rule: 'own', inputs: {} }, 'lower').amountMm).toBeNull();
    expect(
      allowanceAmount({ kind: 'other', rule: 'own', inputs: {}, ownMm: Number.NaN }, 'lower'),
    ).toMatchObject({ amountMm: null, sdMm: null, missing: 'own figure for other allowance' });
    expect(allowanceAmount({ kind: 'spee', rule: 'spee-nobody', inputs: {} }, 'lower').missing).toMatch(
      /spee-nobody/,
    );
    expect(
      allowanceAmount({ kind: 'spee', rule: 'build-up', inputs: { widthAddedMm: 1 } }, 'lower').amountMm,
    ).toBeNull();
    expect(amount('build-up', { widthAddedMm: Number.NaN })).toBeNull();
  });

  it('every rule has its own id and a source', () => {
    expect(new Set(ALLOWANCE_RULES.map((rule) => rule.id)).size).toBe(ALLOWANCE_RULES.length);
    for (const rule of ALLOWANCE_RULES) expect(rule.source.text.length, rule.id).toBeGreaterThan(10);
  });
});

describe('severity', () => {
  // Mitchell; Cobourne & DiBiase 2010; Kirschen 2000 (secondary): mild < 4, moderate 4–8, severe > 8 mm.
  it.each([
    [0.5, 'mild'],
    [3.99, 'mild'],
    [4, 'moderate'],
    [8, 'moderate'],
    [8.01, 'severe'],
  ])('a shortage of %d mm is %s', (shortageMm, grade) => {
    expect(severityGrades(shortageMm)[0].grade).toBe(grade);
  });

  it('gives no grade between two bands of a whole-mm scale, and none without a shortage', () => {
    expect(severityGrades(3.5).map((g) => g.grade)).toEqual(['mild', null, 'extraction rarely indicated']);
    expect(severityGrades(4.5).map((g) => g.grade)).toEqual(['moderate', 'moderate', null]);
    expect(severityGrades(0)).toEqual([]);
    expect(severityGrades(-2)).toEqual([]);
  });
});
