import { describe, expect, test } from 'vitest';
import type { ArchMeasures, MeasureInput } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import {
  alignedTeeth,
  circleCurve,
  type MadeTooth,
  markArch,
  TILTED,
  UPRIGHT,
} from '../../support/markArches.ts';

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

  // Two teeth in one line along (−4, 3)/5, 5 mm wide each and 0.4 mm free between them; the left one then moved 1 mm
  // square to it: the direction from far point to far point is (10.4, 1), of (0.4, 1) the part along it counts.
  test.each([
    [43, 42, 'mesial', 'distal'],
    [41, 31, 'mesial', 'mesial'],
    [32, 33, 'distal', 'mesial'],
  ] as const)('without a line, %d and %d: along their own direction', (right, left, facing, facingLeft) => {
    const at = (along: number, across = 0): readonly [number, number, number] => [
      7 - 0.8 * along - 0.6 * across,
      9 + 0.6 * along - 0.8 * across,
      0,
    ];
    const mark = (tooth: number, site: 'mesial' | 'distal', point: readonly [number, number, number]) => ({
      ...arch(() => ({})).input.marks[0],
      tooth,
      site,
      pointMm: point,
    });
    const far = { mesial: 'distal', distal: 'mesial' } as const;
    const measured = (across: number) =>
      measureArch({
        ...arch(() => ({})).input,
        frame: UPRIGHT,
        marks: [
          mark(right, far[facing], at(-5)),
          mark(right, facing, at(0)),
          mark(left, facingLeft, at(0.4, across)),
          mark(left, far[facingLeft], at(5.4, across)),
        ],
      }).contacts[0];
    expect(measured(0).separation!.valueMm).toBeCloseTo(0.4, 10);
    expect(measured(1).separation!.valueMm).toBeCloseTo((0.4 * 10.4 + 1) / Math.hypot(10.4, 1), 10);
    expect(measured(1).displacement!.valueMm).toBeCloseTo(Math.hypot(0.4, 1), 10);
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
    expect(measures.irregularity).toBeNull(); // four contacts are not the five it is defined by
  });
  // 42 missing between 43 (7 mm) and 41 (5 mm): a quarter of their mean width is 1.5 mm.
  test.each([
    [1.4, true],
    [1.6, false],
  ])('%d mm of room left of a missing tooth: closed %s', (room, closed) => {
    const near = arch((t) =>
      t.position === 2 && t.side === 'right' ? { slotMm: room, widthMm: room } : {},
    ).input;
    const measures = measureArch({
      ...near,
      marks: near.marks.filter((m) => m.tooth !== 42),
      missing: [42],
    });
    expect(contact(measures, 43, 41) !== undefined).toBe(closed);
    expect(measures.gaps).toHaveLength(closed ? 0 : 1);
  });
  test('with no width beside it a gap is a gap, however narrow; with one width that one tells', () => {
    const closed = arch((t) =>
      t.position === 2 && t.side === 'right' ? { slotMm: 0.3, widthMm: 0.3 } : {},
    ).input;
    const without = (drop: readonly string[]) =>
      measureArch({
        ...closed,
        marks: closed.marks.filter((m) => m.tooth !== 42 && !drop.includes(`${m.tooth} ${m.site}`)),
        missing: [42],
      });
    expect(without(['43 distal', '41 mesial']).gaps).toHaveLength(1);
    expect(without(['41 mesial']).gaps).toHaveLength(0);
    // 1 mm is less than a quarter of 41's 5 mm, whose width alone is known.
    const near = arch((t) => (t.position === 2 && t.side === 'right' ? { slotMm: 1, widthMm: 1 } : {})).input;
    const one = measureArch({
      ...near,
      marks: near.marks.filter((m) => m.tooth !== 42 && !(m.tooth === 43 && m.site === 'distal')),
      missing: [42],
    });
    expect(one.gaps).toHaveLength(0);
    expect(contact(one, 43, 41)).toBeDefined();
    expect(without(['43 distal']).gaps).toHaveLength(0);
  });
  test('a gap names the teeth between, not others that are missing', () => {
    const measures = measureArch(without([45, 32], [45, 32, 38]));
    expect(measures.gaps.map(({ teeth, missing }) => [teeth, missing])).toEqual([
      [[46, 44], [45]],
      [[31, 33], [32]],
    ]);
    expect(measures.warnings.some((w) => w.code === 'contact-missing')).toBe(false);
  });
  test('across the midline: both central incisors missing', () => {
    const measures = measureArch(without([41, 31], [41, 31]));
    expect(measures.gaps[0]).toMatchObject({ teeth: [42, 32], missing: [41, 31] });
    expect(Math.abs(measures.gaps[0].room.valueMm - 10)).toBeLessThan(0.1);
    expect(measureArch(without([41, 31], [41])).gaps).toEqual([]); // 31 is merely not marked
  });
  test('a tooth entered as missing and yet marked stands', () => {
    const measures = measureArch(without([], [45]));
    expect(measures.gaps).toEqual([]);
    expect(contact(measures, 46, 45)).toBeDefined();
  });
  test('half a tooth: its contact is there, without figures, and named', () => {
    const half = {
      ...input,
      marks: input.marks.filter((m) => !(m.tooth === 42 && m.site === 'mesial')),
      surfaceSeparations: [{ teeth: [42, 41] as const, separationMm: 0.2, sdMm: 0.05 }],
    };
    const measures = measureArch(half);
    expect(contact(measures, 42, 41)).toMatchObject({
      separation: null, // without points nothing tells where the surfaces were looked at
      alongArch: null,
      displacement: null,
      pointsMm: null,
      separationFrom: 'marks',
    });
    expect(measures.warnings.filter((w) => w.code === 'contact-missing').map((w) => w.teeth)).toEqual([
      [42, 41],
    ]);
  });
  test('half a tooth beside a gap: no contact is missed there', () => {
    const measures = measureArch({
      ...input,
      marks: input.marks.filter((m) => m.tooth !== 45 && !(m.tooth === 44 && m.site === 'distal')),
      missing: [45],
    });
    expect(measures.gaps).toEqual([]);
    expect(measures.warnings.some((w) => w.code === 'contact-missing')).toBe(false);
  });
  test('facing points alone: displaced by so much, how far along the arch cannot be told', () => {
    const facing = measureArch({
      ...input,
      marks: input.marks.filter((m) => `${m.tooth}`.endsWith('1') && m.site === 'mesial'),
    });
    expect(facing.line).toBeNull();
    expect(facing.contacts[0]).toMatchObject({ teeth: [41, 31], separation: null, alongArch: null });
    expect(facing.contacts[0].displacement!.valueMm).toBeCloseTo(0, 9);
  });
  test('facing points alone beside a missing tooth: whether the place has closed cannot be told', () => {
    const facing = measureArch({
      ...input,
      marks: input.marks.filter((m) => ['43 mesial', '41 distal'].includes(`${m.tooth} ${m.site}`)),
      missing: [42],
    });
    expect(facing.line).toBeNull();
    expect(facing.contacts).toEqual([]);
    expect(facing.gaps).toEqual([]);
  });
  test('a primary tooth beside its successor: contacts are those of the permanent one', () => {
    const marks = [
      ...input.marks,
      ...input.marks.filter((m) => m.tooth === 35).map((m) => ({ ...m, tooth: 75 })),
    ];
    const measures = measureArch({ ...input, marks });
    expect(measures.contacts.map((c) => c.teeth)).toEqual(measureArch(input).contacts.map((c) => c.teeth));
    expect(measures.warnings.filter((w) => w.code === 'place-shared').map((w) => w.teeth)).toEqual([[75]]);
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
