import { describe, expect, test } from 'vitest';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import type { PlacedMark } from '../../../src/core/marks/Mark.ts';
import type { MeasureInput } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import {
  antimere,
  publishedWidth,
  usualRangeMm,
  WIDTH_TABLES,
} from '../../../src/core/measure/publishedWidths.ts';
import { UPRIGHT } from '../../support/markArches.ts';

const mark = (tooth: number, site: 'mesial' | 'distal', pointMm: Vec3): PlacedMark => ({
  tooth,
  site,
  pointMm,
  state: 'confirmed',
  confidence: null,
});
const one = (marks: readonly PlacedMark[], more: Partial<MeasureInput> = {}) =>
  measureArch({
    jaw: 'upper',
    frame: UPRIGHT,
    marks,
    missing: [],
    enteredWidths: [],
    form: 'spline',
    markSdMm: 0.05,
    medianEdgeMm: 0.2,
    ...more,
  });

describe('width of one tooth', () => {
  test('straight distance in space, projection on the occlusal plane', () => {
    const { teeth } = one([mark(14, 'mesial', [1, 2, 3]), mark(14, 'distal', [3, 5, 9])]);
    expect(teeth[0].widthMm).toBeCloseTo(7, 12); // 2, 3, 6
    expect(teeth[0].widthOcclusalMm).toBeCloseTo(Math.sqrt(13), 12);
  });
  test('SD: two marks along the width, and the mesh', () => {
    const { teeth } = one([mark(14, 'mesial', [0, 0, 0]), mark(14, 'distal', [7, 0, 0])]);
    expect(teeth[0].sdMm).toBeCloseTo(Math.SQRT2 * Math.hypot(0.05, 0.04 / 28), 12);
    const coarse = one([mark(14, 'mesial', [0, 0, 0]), mark(14, 'distal', [7, 0, 0])], { medianEdgeMm: 1 });
    expect(coarse.teeth[0].sdMm).toBeGreaterThan(teeth[0].sdMm);
  });
});

describe('who placed the points', () => {
  const pair = (mesial: Partial<PlacedMark>, distal: Partial<PlacedMark>) =>
    one([
      { ...mark(14, 'mesial', [0, 0, 0]), ...mesial },
      { ...mark(14, 'distal', [7, 0, 0]), ...distal },
    ]).teeth[0];
  test.each([
    ['confirmed', 'confirmed', 'marked'],
    ['proposed', 'confirmed', 'proposed'],
    ['confirmed', 'proposed', 'proposed'],
    ['proposed', 'proposed', 'proposed'],
  ] as const)('mesial %s, distal %s: the width is %s', (mesial, distal, source) => {
    expect(pair({ state: mesial }, { state: distal }).source).toBe(source);
  });
  test.each([
    [0.9, 0.4, 0.4],
    [0.3, null, 0.3],
    [null, null, null],
  ])('confidence %d and %d: %d', (mesial, distal, least) => {
    expect(pair({ confidence: mesial }, { confidence: distal }).confidence).toBe(least);
  });
});

describe('flags', () => {
  const width = (tooth: number, widthMm: number) => [
    mark(tooth, 'mesial', [0, 30, 0]),
    mark(tooth, 'distal', [widthMm, 30, 0]),
  ];
  const codes = (marks: readonly PlacedMark[]) =>
    one(marks).warnings.filter((w) => w.code.startsWith('width-'));

  test.each([
    [11, 8.7, false],
    [11, 6.5, true],
    [11, 10.3, true],
    [16, 9.5, false],
    [16, 13, true],
    [18, 5, false], // no published SD: never flagged
  ])('tooth %i, %f mm wide: unusual %s', (tooth, widthMm, unusual) => {
    expect(codes(width(tooth, widthMm)).some((w) => w.code === 'width-unusual')).toBe(unusual);
  });
  test('the ends of the usual range are usual, a hundredth of a mm beyond is not', () => {
    const [low, high] = usualRangeMm(31)!;
    const flagged = (widthMm: number) =>
      one([], { jaw: 'lower', enteredWidths: [{ tooth: 31, widthMm, sdMm: 0 }] }).warnings.some(
        (w) => w.code === 'width-unusual',
      );
    expect([low - 0.01, low, high, high + 0.01].map(flagged)).toEqual([true, false, false, true]);
    const wide = one([], { jaw: 'lower', enteredWidths: [{ tooth: 31, widthMm: 9, sdMm: 0 }] });
    expect(wide.warnings.find((w) => w.code === 'width-unusual')!.teeth).toEqual([31]);
  });
  test('half a mm between the sides is not more than half a mm; the left may be the wider', () => {
    const differ = (right: number, left: number) =>
      one([], {
        enteredWidths: [
          { tooth: 13, widthMm: right, sdMm: 0 },
          { tooth: 23, widthMm: left, sdMm: 0 },
        ],
      }).warnings.some((w) => w.code === 'width-sides-differ');
    expect([differ(7.5, 8), differ(8, 7.5), differ(7.5, 8.01), differ(8.01, 7.5)]).toEqual([
      false,
      false,
      true,
      true,
    ]);
  });
  test('right and left more than 0.5 mm apart, once for the pair', () => {
    const differing = codes([...width(13, 7.8), ...width(23, 7.2)]).filter(
      (w) => w.code === 'width-sides-differ',
    );
    expect(differing).toHaveLength(1);
    expect(differing[0].teeth).toEqual([13, 23]);
    expect(differing[0].message).toMatch(/^Teeth 13 and 23 differ by 0\.60 mm/);
    expect(codes([...width(13, 7.8), ...width(23, 7.31)])).toEqual([]);
  });
});

describe('published widths', () => {
  const table = (id: string) => WIDTH_TABLES.find((t) => t.id === id)!;
  // Ash & Nelson, Wheeler's Dental Anatomy, 9th edition, seen in a secondary source
  test('handbook', () => {
    expect(table('handbook').upper.map((w) => w.meanMm)).toEqual([8.5, 6.5, 7.5, 7, 7, 10, 9, 8.5]);
    expect(table('handbook').lower.map((w) => w.meanMm)).toEqual([5, 5.5, 7, 7, 7, 11, 10.5, 10]);
  });
  // sums of 6 to 6 that tooth-size ratios are computed from
  test('sums over twelve teeth', () => {
    const twelve = (id: string, jaw: 'upper' | 'lower') =>
      2 *
      table(id)
        [jaw].slice(0, 6)
        .reduce((s, w) => s + w.meanMm, 0);
    expect(twelve('handbook', 'upper')).toBeCloseTo(93, 10);
    expect(twelve('handbook', 'lower')).toBeCloseTo(85, 10);
    expect(twelve('black', 'upper')).toBeCloseTo(95.4, 10);
    expect(twelve('black', 'lower')).toBeCloseTo(86.8, 10);
  });
  test('range is the wider of men and women, mean ± 3 SD', () => {
    expect(usualRangeMm(31)![0]).toBeCloseTo(5.25 - 0.96, 10);
    expect(usualRangeMm(31)![1]).toBeCloseTo(5.42 + 0.96, 10);
    // Every quadrant has its range; right and left are one population.
    for (const [right, left] of [
      [11, 21],
      [43, 33],
      [46, 36],
    ])
      expect(usualRangeMm(right), `${right}`).toEqual(usualRangeMm(left));
    expect(usualRangeMm(43)![1]).toBeCloseTo(6.96 + 3 * 0.35, 10);
    expect(usualRangeMm(55)).toBeNull();
    expect(usualRangeMm(38)).toBeNull();
    expect(publishedWidth(table('moorrees-men'), 26)).toEqual({ meanMm: 10.81, sdMm: 0.56 });
  });
  test.each([
    [11, 21],
    [23, 13],
    [36, 46],
    [47, 37],
    [55, 65],
    [84, 74],
  ])('antimere of %i is %i', (tooth, other) => {
    expect(antimere(tooth)).toBe(other);
    expect(antimere(other)).toBe(tooth);
  });
  test('every table says where it is from and how far it can be trusted', () => {
    for (const t of WIDTH_TABLES) expect(['memory', 'secondary']).toContain(t.source.standing);
  });
});
