import { describe, expect, it } from 'vitest';
import { PLAN_DEFAULT_SOURCES, PLAN_DEFAULTS } from '../../src/core/casefile/planDefaults.ts';
import { CAUTIONS } from '../../src/core/reduction/cautions.ts';
import { DEFAULT_CONTACT_LIMIT_MM, ENAMEL_SHARE, enamelThickness } from '../../src/core/reduction/enamel.ts';
import { ALLOWANCE_RULES, allowanceRule } from '../../src/core/space/allowanceRules.ts';
import { WIDTH_REGRESSIONS } from '../../src/core/space/predictedWidths.ts';
import { SEVERITY_SCALES } from '../../src/core/space/severity.ts';

// Figures that titles, help texts and defaults quote, against the published ones, written here a second time.

describe('titles of rules say what the rules compute', () => {
  const amountMm = (id: string, inputs: Readonly<Record<string, number>>): number =>
    allowanceRule(id)!.amountMm(inputs, 'lower');

  // Worked for a depth sum of 4 mm: 1.442 (Baldridge), 3.968 (Garcia), 0.8125 (Braun).
  it.each([
    ['spee-baldridge-1969', 14_420],
    ['spee-garcia-1985', 39_680],
    ['spee-braun-1996', 8_125],
  ])('%s: its own line, worked at 2 mm on both sides', (id, expected) => {
    const expectedMm = expected / 10_000;
    expect(amountMm(id, { depthRightMm: 2, depthLeftMm: 2 })).toBeCloseTo(-expectedMm, 4);
    const [slope, intercept] = [...allowanceRule(id)!.title.matchAll(/\d+\.\d+/g)].map(Number);
    const sign = allowanceRule(id)!.title.includes(') −') ? -1 : 1;
    expect(slope * 4 + sign * intercept).toBeCloseTo(expectedMm, 4);
  });

  it('mm of arch per mm of widening, as the titles say', () => {
    const widening = ALLOWANCE_RULES.filter(
      ({ kind, inputs }) => kind === 'arch-width' && inputs.length === 1,
    );
    expect(widening.length).toBeGreaterThan(3);
    for (const { id, title, inputs } of widening) {
      const said = [...title.split(':')[1].matchAll(/\d+(?:\.\d+)?/g)].map(([figure]) => Number(figure));
      expect(said, id).toContain(amountMm(id, { [inputs[0].name]: 1 }));
    }
  });

  it.each([['spee-kirschen-2000', [3, 1], [4, 1.5], [5, 2], [7, 2]]] as const)('%s', (id, ...pairs) => {
    for (const [depth, mm] of pairs)
      expect(amountMm(id, { depthRightMm: depth, depthLeftMm: 1 })).toBeCloseTo(-mm, 10);
  });
});

describe('published figures', () => {
  it.each([
    [31, 'mesial', 0.675], // Vellini-Ferreira 2012, the thinnest
    [31, 'distal', 0.872],
    [32, 'mesial', 0.734],
    [35, 'mesial', 1.376],
    [35, 'distal', 1.45],
    [13, 'mesial', 1.18], // González-García 2025
    [13, 'distal', 1.25],
    [14, 'mesial', 1.22], // Munhoz 2012
    [14, 'distal', 1.28],
    [16, 'mesial', 1.48], // Sarig 2015
  ] as const)('enamel of %d, %s: %d mm', (tooth, surface, meanMm) => {
    expect(enamelThickness(tooth, surface)!.meanMm).toBe(meanMm);
  });

  it('titles of width predictions carry their own figures', () => {
    const plain = WIDTH_REGRESSIONS.find(({ id }) => id === 'tanaka-johnston')!;
    expect([plain.upper, plain.lower]).toEqual([
      [11, 0.5],
      [10.5, 0.5],
    ]);
    expect(plain.title).toMatch(/half .* 11\.0 \(upper\) or 10\.5 mm \(lower\)/);
  });

  it('severity: bands as their source line says', () => {
    const [first] = SEVERITY_SCALES;
    expect(first.source.text).toContain('mild < 4, moderate 4–8, severe > 8 mm');
    const grade = (mm: number) => first.bands.find((b) => mm >= b.fromMm && mm <= b.toMm)?.grade;
    expect([3.9, 4, 8, 8.1].map(grade)).toEqual(['mild', 'moderate', 'moderate', 'severe']);
  });
});

describe('defaults agree with the words beside them', () => {
  it('of a plan', () => {
    expect(PLAN_DEFAULT_SOURCES.stepMm.text).toContain(`${PLAN_DEFAULTS.stepMm} mm`);
    expect(PLAN_DEFAULT_SOURCES.overshootRisk.text).toContain(`${100 * PLAN_DEFAULTS.overshootRisk} %`);
    expect(PLAN_DEFAULT_SOURCES.visits.text).toContain('four');
    expect(PLAN_DEFAULTS.visits).toBe(4);
    expect(PLAN_DEFAULT_SOURCES.perVisitLimitMm.text).toContain(`0.2–${PLAN_DEFAULTS.perVisitLimitMm} mm`);
    expect(DEFAULT_CONTACT_LIMIT_MM).toBe(0.5);
    expect(ENAMEL_SHARE).toBe(0.5);
  });

  it('and every caution is shown somewhere', () => {
    expect(CAUTIONS.every(({ at }) => at.length > 0)).toBe(true);
  });
});
