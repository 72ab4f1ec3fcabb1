import { describe, expect, test } from 'vitest';
import type { PlacedMark } from '../../../src/core/marks/Mark.ts';
import { irregularityGrade } from '../../../src/core/measure/irregularity.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { alignedTeeth, ellipseCurve, markArch } from '../../support/markArches.ts';

// Little RM, Am J Orthod 1975;68:554–563, bands in whole mm seen in a secondary source:
// 0 perfect, 1–3 minimal, 4–6 moderate, 7–9 severe, 10 and more very severe.
describe('grade', () => {
  test.each([
    [0, 'perfect'],
    [1, 'minimal'],
    [2, 'minimal'],
    [3, 'minimal'],
    [4, 'moderate'],
    [5, 'moderate'],
    [6, 'moderate'],
    [7, 'severe'],
    [8, 'severe'],
    [9, 'severe'],
    [10, 'very severe'],
    [15, 'very severe'],
  ])('%d mm: %s', (index, grade) => {
    expect(irregularityGrade(index)).toBe(grade);
  });
  // between the bands our rule holds: nearest whole mm, halves up
  test.each([
    [0.49, 'perfect'],
    [0.5, 'minimal'],
    [3.49, 'minimal'],
    [3.5, 'moderate'],
    [6.5, 'severe'],
    [9.49, 'severe'],
    [9.5, 'very severe'],
  ])('%f mm: %s', (index, grade) => {
    expect(irregularityGrade(index)).toBe(grade);
  });
});

describe('index', () => {
  const { input } = markArch({
    jaw: 'lower',
    curve: ellipseCurve(27, 45),
    limit: 2.2,
    teeth: alignedTeeth('lower'),
  });
  const moved = (moves: Readonly<Record<number, readonly [number, number, number]>>) =>
    measureArch({
      ...input,
      marks: input.marks.map((m): PlacedMark => {
        const by = moves[m.tooth];
        return by ? { ...m, pointMm: [m.pointMm[0] + by[0], m.pointMm[1] + by[1], m.pointMm[2] + by[2]] } : m;
      }),
    });

  test('aligned: 0', () => {
    expect(measureArch(input).irregularity!.valueMm).toBeCloseTo(0, 9);
  });
  test('one incisor 2 mm out counts at both its contacts', () => {
    const measures = moved({ 31: [0, 2, 0] });
    expect(measures.irregularity!.valueMm).toBeCloseTo(4, 9);
    expect(measures.irregularityGrade).toBe('moderate');
  });
  test('vertical steps do not count', () => {
    expect(moved({ 42: [0, 0, 3] }).irregularity!.valueMm).toBeCloseTo(0, 9);
  });
  test('3, 4 and 5 mm together', () => {
    // 41 moved by (3, 4): 5 mm at 41–31 and at 42–41; 33 back by 1.5: 1.5 mm at 32–33, and 33–34 is no front contact
    expect(moved({ 41: [3, 4, 0], 33: [0, -1.5, 0] }).irregularity!.valueMm).toBeCloseTo(11.5, 9);
  });
  test('a missing incisor: null, named', () => {
    const measures = measureArch({
      ...input,
      missing: [32],
      marks: input.marks.filter((m) => m.tooth !== 32),
    });
    expect(measures.irregularity).toBeNull();
    expect(measures.irregularityGrade).toBeNull();
    const warning = measures.warnings.find((w) => w.code === 'irregularity-missing')!;
    expect(warning.teeth).toEqual([31, 32, 33]);
    expect(warning.message).toContain('31–32, 32–33 cannot be had');
  });
});
