import { describe, expect, it } from 'vitest';
import { archOrder, type Jaw, positionOf } from '../../../src/core/base/tooth.ts';
import { TOOTH_SIZE_NORMS, toothSizeNorm } from '../../../src/core/space/toothSizeNorms.ts';
import { type ToothWidth, toothSizeRatios } from '../../../src/core/space/toothSizeRatios.ts';
import { seeded } from '../../support/markArches.ts';

const BOLTON = toothSizeNorm('bolton-1958')!;

/** Twelve widths from the right first molar to the left. */
const widths = (jaw: Jaw, values: readonly number[], sdMm = 0): readonly ToothWidth[] =>
  archOrder(jaw)
    .filter((tooth) => positionOf(tooth) <= 6)
    .map((tooth, i) => ({ tooth, widthMm: values[i], sdMm }));
const mirrored = (half: readonly number[]) => [...half, ...[...half].reverse()];

// No published case with all 24 widths was found. Widths of A are handbook means (Wheeler / Ash & Nelson), of B
// the means of Black 1902 (from memory), C and D are constructed; expected values are computed to the printed digits.
const SETS = {
  A: {
    upper: mirrored([10, 7, 7, 7.5, 6.5, 8.5]),
    lower: mirrored([11, 7, 7, 7, 5.5, 5]),
    overall: [91.3978, 0.091, -0.0997],
    anterior: [77.7778, 0.26, -0.3368],
  },
  B: {
    upper: mirrored([10.7, 6.8, 7.2, 7.6, 6.4, 9]),
    lower: mirrored([11.2, 7.1, 6.9, 6.9, 5.9, 5.4]),
    overall: [90.9853, -0.3002, 0.3288],
    anterior: [79.1304, 0.888, -1.1503],
  },
  C: {
    upper: [10.4, 6.9, 7.2, 8, 6.8, 8.9, 8.8, 6.6, 7.9, 7.3, 7, 10.5],
    lower: [11.3, 7.4, 7.2, 7.1, 6.2, 5.7, 5.6, 6.1, 7, 7.3, 7.5, 11.2],
    overall: [93.0426, 1.6781, -1.838],
    anterior: [80.2128, 1.416, -1.8342],
  },
  D: {
    upper: [10.83, 7.21, 7.42, 8.17, 7.36, 9.24, 9.19, 7.41, 8.22, 7.38, 7.16, 10.77],
    lower: [11.02, 7.05, 6.94, 6.78, 5.74, 5.18, 5.22, 5.71, 6.83, 6.98, 7.11, 11.08],
    overall: [85.3328, -5.9887, 6.5593],
    anterior: [71.5064, -2.8235, 3.6574],
  },
} as const;

describe('toothSizeRatios', () => {
  it.each(Object.entries(SETS))('set %s to the printed digits', (_, set) => {
    const found = toothSizeRatios({
      upper: widths('upper', set.upper),
      lower: widths('lower', set.lower),
      norm: BOLTON,
    });
    for (const kind of ['overall', 'anterior'] as const) {
      const [percent, lowerExcess, upperExcess] = set[kind];
      expect(found[kind].percent).toBeCloseTo(percent, 4);
      expect(found[kind].lowerExcessMm).toBeCloseTo(lowerExcess, 4);
      expect(found[kind].upperExcessMm).toBeCloseTo(upperExcess, 4);
      // The two answers differ by the norm's factor and by sign.
      const share = BOLTON[kind]!.meanPercent / 100;
      expect(found[kind].lowerExcessMm).toBeCloseTo(-found[kind].upperExcessMm! * share, 10);
    }
  });

  it.each([
    ['C', 0.912, 1.826],
    ['D', -3.124, -3.451],
  ] as const)('z-scores of set %s', (name, overall, anterior) => {
    const set = SETS[name];
    const found = toothSizeRatios({
      upper: widths('upper', set.upper),
      lower: widths('lower', set.lower),
      norm: BOLTON,
    });
    expect(found.overall.zScore).toBeCloseTo(overall, 3);
    expect(found.anterior.zScore).toBeCloseTo(anterior, 3);
  });

  // Printed table of Bolton 1962 (from memory, unverified): upper sum → lower sum. It truncates and has
  // irregular rows, hence ±0.11 mm.
  it.each([
    ['overall', 85, 77.6],
    ['overall', 90, 82.1],
    ['overall', 94, 85.8],
    ['overall', 100, 91.3],
    ['overall', 107, 97.8],
    ['overall', 110, 100.4],
    ['anterior', 40, 30.9],
    ['anterior', 45.5, 35.1],
    ['anterior', 50, 38.6],
    ['anterior', 55, 42.5],
  ] as const)('%s: an upper sum of %d mm goes with %d mm', (kind, upperSum, lowerSum) => {
    const count = kind === 'overall' ? 12 : 6;
    const found = toothSizeRatios({
      upper: widths('upper', Array(12).fill(upperSum / count)),
      lower: widths('lower', Array(12).fill(lowerSum / count)),
      norm: BOLTON,
    });
    expect(Math.abs(found[kind].lowerExcessMm!)).toBeLessThan(0.11);
  });

  it('SDs and the chance of lying outside against 40,000 draws', () => {
    const { normal } = seeded(77);
    const sdMm = 0.15;
    const input = {
      upper: widths('upper', SETS.C.upper, sdMm),
      lower: widths('lower', SETS.C.lower, sdMm),
      norm: BOLTON,
    };
    const found = toothSizeRatios(input).anterior;
    const noisy = (list: readonly ToothWidth[]) =>
      list.map((w) => ({ ...w, widthMm: w.widthMm + sdMm * normal() }));
    const draws = Array.from({ length: 40_000 }, () => {
      const drawn = toothSizeRatios({
        ...input,
        upper: noisy(input.upper),
        lower: noisy(input.lower),
      }).anterior;
      return [drawn.percent!, drawn.lowerExcessMm!, drawn.upperExcessMm!] as const;
    });
    const sd = (k: 0 | 1 | 2) => {
      const mean = draws.reduce((sum, d) => sum + d[k], 0) / draws.length;
      return Math.sqrt(draws.reduce((sum, d) => sum + (d[k] - mean) ** 2, 0) / draws.length);
    };
    expect(found.sdPercent! / sd(0)).toBeCloseTo(1, 1);
    expect(found.lowerExcessSdMm! / sd(1)).toBeCloseTo(1, 1);
    expect(found.upperExcessSdMm! / sd(2)).toBeCloseTo(1, 1);
    const outside = draws.filter(([p]) => p < 77.2 - 3.3 || p > 77.2 + 3.3).length / draws.length;
    expect(Math.abs(found.chanceOutside! - outside)).toBeLessThan(0.01);
  });

  // Anterior sums of 50 mm above and 50 · percent below; only the lower widths err, so the SD of the ratio is
  // 100 · SD of the lower sum ÷ 50. Band 77.2 ± 2 · 1.65 %; Φ(−1) = 0.158655, Φ(−2) = 0.022750 (normal table).
  const anteriorOf = (percent: number, sdPercent: number) =>
    toothSizeRatios({
      upper: widths('upper', Array(12).fill(50 / 6)),
      lower: widths('lower', Array(12).fill(percent / 12), sdPercent / 2 / Math.sqrt(6)),
      norm: BOLTON,
    }).anterior;
  it.each([
    ['on the upper edge', 80.5, 0.4, 0.5],
    ['one SD inside the upper edge', 80.1, 0.4, 0.158655],
    ['two SDs outside the upper edge', 81.3, 0.4, 0.97725],
    ['one SD inside the lower edge', 74.3, 0.4, 0.158655],
    ['two SDs outside the lower edge', 73.1, 0.4, 0.97725],
    ['in the middle', 77.2, 1.65, 2 * 0.02275],
  ] as const)('chance of lying outside, %s', (_, percent, sdPercent, chance) => {
    const found = anteriorOf(percent, sdPercent);
    expect(found.percent).toBeCloseTo(percent, 10);
    expect(found.sdPercent).toBeCloseTo(sdPercent, 10);
    expect(found.lowerExcessSdMm).toBeCloseTo(sdPercent / 2, 10);
    expect(found.chanceOutside).toBeCloseTo(chance, 5);
  });

  it.each([
    [73.89, 1],
    [73.91, 0],
    [77.2, 0],
    [80.49, 0],
    [80.51, 1],
  ])('nothing errs: %d %% lies outside 73.9 to 80.5 %% with chance %d', (percent, chance) => {
    expect(anteriorOf(percent, 0).chanceOutside).toBe(chance);
  });

  it('nothing errs: the edges themselves lie inside', () => {
    const norm = { ...BOLTON, anterior: { meanPercent: 75, sdPercent: 2.5 } };
    const chance = (lowerMm: number) =>
      toothSizeRatios({
        upper: widths('upper', Array(12).fill(8)),
        lower: widths('lower', Array(12).fill(lowerMm)),
        norm,
      }).anterior;
    expect(chance(6.4)).toMatchObject({ percent: 80, chanceOutside: 0 });
    expect(chance(5.6)).toMatchObject({ percent: 70, chanceOutside: 0 });
  });

  it('a missing width is named and makes no number', () => {
    const upper = widths('upper', SETS.A.upper).filter((w) => w.tooth !== 15);
    const found = toothSizeRatios({ upper, lower: widths('lower', SETS.A.lower), norm: BOLTON });
    expect(found.overall).toMatchObject({ percent: null, zScore: null, lowerExcessMm: null, missing: [15] });
    expect(found.anterior.percent).toBeCloseTo(77.7778, 4);
  });

  it('a norm without SD or without the anterior ratio leaves those out', () => {
    const norm = toothSizeNorm('smith-2000-white')!;
    const found = toothSizeRatios({
      upper: widths('upper', SETS.A.upper),
      lower: widths('lower', SETS.A.lower),
      norm,
    });
    expect(found.overall).toMatchObject({ zScore: null, chanceOutside: null });
    expect(found.overall.lowerExcessMm).toBeCloseTo(85 - 93 * 0.923, 10);
    expect(found.anterior).toMatchObject({ zScore: null, lowerExcessMm: null });
    expect(found.anterior.percent).toBeCloseTo(77.7778, 4);
  });

  it('every norm has its own id and a source', () => {
    expect(new Set(TOOTH_SIZE_NORMS.map((norm) => norm.id)).size).toBe(TOOTH_SIZE_NORMS.length);
    expect(TOOTH_SIZE_NORMS[0].id).toBe('bolton-1958');
    expect(toothSizeNorm('none')).toBeNull();
  });
});
