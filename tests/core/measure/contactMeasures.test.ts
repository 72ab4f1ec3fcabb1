import { describe, expect, test } from 'vitest';
import type { ArchMeasures, MeasureInput } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { alignedTeeth, circleCurve, type MadeTooth, markArch, TILTED } from '../../support/markArches.ts';

const RADIUS = 28;
const arch = (change: (t: MadeTooth) => Partial<MadeTooth>, jaw: 'upper' | 'lower' = 'lower') =>
  markArch({
    jaw,
    curve: circleCurve(RADIUS),
    limit: 2.5,
    teeth: alignedTeeth(jaw).map((t) => ({ ...t, ...change(t) })),
    frame: TILTED,
  });

const contact = (m: ArchMeasures, a: number, b: number) =>
  m.contacts.find((c) => c.teeth[0] === a && c.teeth[1] === b);

/**
 * Exact free arc between two teeth of equal make on a circle, each centred on its slot's chord: from the ends of
 * the chords, whose rays from the centre are turned by atan(half width / chord height) from the slot's middle.
 */
const freeArc = (widthMm: number, slotMm: number): number => {
  const height = RADIUS * Math.cos(slotMm / RADIUS / 2);
  return slotMm - 2 * RADIUS * Math.atan(widthMm / 2 / height);
};

describe('separation along a circle', () => {
  test.each([0.8, 0.3, -0.4, -1])('slots %f mm wider than the incisors', (more) => {
    // central incisors 5 mm wide in slots of 5 + more
    const { input } = arch((t) => (t.position === 1 ? { slotMm: t.widthMm + more } : {}));
    const measures = measureArch({ ...input, form: 'conic' });
    const exact = freeArc(5, 5 + more);
    // the circle is followed by the conic to rounding where the teeth stand on it; overlaps pull it slightly
    expect(Math.abs(contact(measures, 41, 31)!.separation!.valueMm - exact)).toBeLessThan(0.02);
    const spline = measureArch(input);
    expect(Math.abs(contact(spline, 41, 31)!.separation!.valueMm - exact)).toBeLessThan(0.05);
    expect(spline.contacts.every((c) => c.separation !== null && c.displacement !== null)).toBe(true);
  });

  test('touching teeth: no separation, no displacement', () => {
    for (const c of measureArch(arch(() => ({})).input).contacts) {
      expect(c.separation!.valueMm).toBeCloseTo(0, 9);
      expect(c.displacement!.valueMm).toBeCloseTo(0, 9);
    }
  });

  test('a tooth out of line: displacement is seen, separation hardly', () => {
    const { input } = arch((t) => (t.position === 2 && t.side === 'left' ? { outwardMm: 1.5 } : {}));
    const c = contact(measureArch({ ...input, form: 'conic' }), 31, 32)!;
    expect(c.displacement!.valueMm).toBeGreaterThan(1.4);
    // seen from the circle's centre the tooth is smaller there: half of what it spans less opens at each side
    const height = RADIUS * Math.cos(5.5 / RADIUS / 2) + 1.5;
    const exact = 5.5 / 2 - RADIUS * Math.atan(5.5 / 2 / height);
    expect(Math.abs(c.separation!.valueMm - exact)).toBeLessThan(0.03);
  });

  test('without a line the teeth’s own direction serves', () => {
    const { input } = arch((t) => (t.position === 1 ? { slotMm: t.widthMm + 0.6 } : {}));
    const front = { ...input, marks: input.marks.filter((m) => m.tooth % 10 <= 2) };
    const measures = measureArch(front);
    expect(measures.line).toBeNull();
    expect(Math.abs(contact(measures, 41, 31)!.separation!.valueMm - 0.6)).toBeLessThan(0.05);
  });

  test('a separation measured on the surface goes first, with its own SD; that of the marks stays beside it', () => {
    const { input } = arch(() => ({}));
    const measures = measureArch({
      ...input,
      surfaceSeparations: [{ teeth: [42, 41], separationMm: 0.21, sdMm: 0.05 }],
    });
    const measured = contact(measures, 42, 41)!;
    expect(measured).toMatchObject({ separation: { valueMm: 0.21, sdMm: 0.05 }, separationFrom: 'surface' });
    expect(measured.alongArch!.valueMm).toBeCloseTo(0, 9);
    const other = contact(measures, 41, 31)!;
    expect(other.separationFrom).toBe('marks');
    expect(other.separation).toEqual(other.alongArch);
    expect(other.separation!.valueMm).toBeCloseTo(0, 9);
  });
});

describe('missing teeth', () => {
  const { input } = arch(() => ({}));
  const without = (teeth: readonly number[], missing: readonly number[]): MeasureInput => ({
    ...input,
    marks: input.marks.filter((m) => !teeth.includes(m.tooth)),
    missing,
  });

  test('a missing tooth leaves a gap as wide as it, not a contact', () => {
    const measures = measureArch(without([45], [45]));
    expect(contact(measures, 46, 44)).toBeUndefined();
    expect(measures.gaps).toHaveLength(1);
    expect(measures.gaps[0]).toMatchObject({ teeth: [46, 44], missing: [45] });
    expect(Math.abs(measures.gaps[0].room.valueMm - 7)).toBeLessThan(0.05);
    expect(measures.contacts).toHaveLength(11);
  });
  test('two missing beside each other: one gap', () => {
    const measures = measureArch(without([32, 33], [32, 33]));
    expect(measures.gaps[0]).toMatchObject({ teeth: [31, 34], missing: [32, 33] });
    expect(Math.abs(measures.gaps[0].room.valueMm - 12.5)).toBeLessThan(0.1);
  });
  test('a tooth merely not marked leaves neither', () => {
    const measures = measureArch(without([45], []));
    expect(measures.gaps).toEqual([]);
    expect(contact(measures, 46, 44)).toBeUndefined();
    expect(measures.warnings.find((w) => w.code === 'teeth-not-marked')!.teeth).toEqual([45]);
  });
  test('a place that has closed is a contact', () => {
    const closed = arch((t) =>
      t.position === 2 && t.side === 'right' ? { slotMm: 0.3, widthMm: 0.3 } : {},
    ).input;
    const measures = measureArch({
      ...closed,
      marks: closed.marks.filter((m) => m.tooth !== 42),
      missing: [42],
    });
    expect(contact(measures, 43, 41)!.separation!.valueMm).toBeCloseTo(0.3, 1);
    expect(measures.gaps).toEqual([]);
  });
  test('a primary tooth holds its place', () => {
    const measures = measureArch({
      ...input,
      marks: input.marks.map((m) => (m.tooth === 35 ? { ...m, tooth: 75 } : m)),
    });
    expect(contact(measures, 34, 75)!.displacement!.valueMm).toBeCloseTo(0, 9);
    expect(contact(measures, 75, 36)!.separation!.valueMm).toBeCloseTo(0, 9);
    expect(measures.warnings.some((w) => w.code === 'teeth-not-marked')).toBe(false);
  });
});
