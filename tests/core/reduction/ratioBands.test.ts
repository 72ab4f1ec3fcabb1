import { describe, expect, it } from 'vitest';
import { archOrder, positionOf } from '../../../src/core/base/tooth.ts';
import {
  bandPercent,
  chanceOutsideBand,
  ratioBands,
  TOGETHER_DEFAULTS,
} from '../../../src/core/reduction/ratioBands.ts';
import { toothSizeNorm } from '../../../src/core/space/toothSizeNorms.ts';
import { toothSizeRatios } from '../../../src/core/space/toothSizeRatios.ts';
import { seeded } from '../../support/markArches.ts';

const bolton = toothSizeNorm('bolton-1958')!;
const widths = {
  upper: archOrder('upper').map((tooth) => ({ tooth, widthMm: 7 + 0.1 * positionOf(tooth), sdMm: 0.1 })),
  lower: archOrder('lower').map((tooth) => ({ tooth, widthMm: 6 + 0.1 * positionOf(tooth), sdMm: 0.1 })),
};

describe('bands of the tooth-size ratios', () => {
  it('by default the mean of the norm ± 1 SD: Bolton 77.2 (1.65) and 91.3 (1.91)', () => {
    const { bands, problems } = ratioBands({ ...TOGETHER_DEFAULTS, ratios: 'both' }, bolton, widths);
    expect(problems).toEqual([]);
    expect(bands.map(({ kind }) => kind)).toEqual(['overall', 'anterior']);
    expect(bands[0].lowPercent).toBeCloseTo(89.39, 9);
    expect(bands[1].highPercent).toBeCloseTo(78.85, 9);
    // Twelve and six teeth: 7.1 + … + 7.6 and 7.1 + 7.2 + 7.3 on each side of the upper arch, 1 mm less each below.
    expect(bands.map(({ upperSumMm }) => upperSumMm)).toEqual([
      expect.closeTo(88.2, 9),
      expect.closeTo(43.2, 9),
    ]);
    expect(bands.map(({ lowerSumMm }) => lowerSumMm)).toEqual([
      expect.closeTo(76.2, 9),
      expect.closeTo(37.2, 9),
    ]);
    // The sums are those of the ratios themselves.
    const ratios = toothSizeRatios({ ...widths, norm: bolton });
    for (const band of bands)
      expect((100 * band.lowerSumMm) / band.upperSumMm).toBeCloseTo(ratios[band.kind].percent!, 9);
  });

  it('the mean alone, and a band of the user', () => {
    expect(bandPercent({ ...TOGETHER_DEFAULTS, target: 'norm-mean' }, bolton, 'overall')).toEqual({
      lowPercent: 91.3,
      highPercent: 91.3,
    });
    const own = { overall: null, anterior: { lowPercent: 75, highPercent: 76 } };
    expect(bandPercent({ ...TOGETHER_DEFAULTS, target: 'own', own }, bolton, 'anterior')).toEqual(
      own.anterior,
    );
    expect(bandPercent({ ...TOGETHER_DEFAULTS, target: 'own', own }, bolton, 'overall')).toMatch(
      /enter the band/,
    );
  });

  it('a norm without SD, without the ratio, or a missing width gives no band and names why', () => {
    const smith = toothSizeNorm('smith-2000-white')!;
    const { bands, problems } = ratioBands({ ...TOGETHER_DEFAULTS, ratios: 'both' }, smith, widths);
    expect(bands).toEqual([]);
    expect(problems.map(({ text }) => text).join()).toMatch(
      /overall ratio: .*no SD.*anterior ratio: .*gives none/,
    );
    const gap = { ...widths, lower: widths.lower.filter(({ tooth }) => tooth !== 33) };
    expect(ratioBands(TOGETHER_DEFAULTS, bolton, gap)).toEqual({
      bands: [],
      problems: [{ field: 'ratios', text: 'anterior ratio: no width of 33' }],
    });
  });

  it('each problem stands at the field that mends it, each tooth without a width is named once', () => {
    const own = { overall: null, anterior: { lowPercent: 75, highPercent: 76 } };
    const asked = (change: Partial<typeof TOGETHER_DEFAULTS>, of = widths) =>
      ratioBands({ ...TOGETHER_DEFAULTS, ratios: 'both', ...change }, bolton, of);
    const byOwn = asked({ target: 'own', own });
    expect(byOwn.problems.map(({ field }) => field)).toEqual(['own.overall']);
    expect(byOwn.bands.map(({ kind, lowPercent, highPercent }) => [kind, lowPercent, highPercent])).toEqual([
      ['anterior', 75, 76],
    ]);
    const smith = toothSizeNorm('smith-2000-white')!;
    const noSd = ratioBands({ ...TOGETHER_DEFAULTS, ratios: 'overall' }, smith, widths);
    expect(noSd.problems.map(({ field }) => field)).toEqual(['target']);
    const mean = ratioBands({ ...TOGETHER_DEFAULTS, ratios: 'overall', target: 'norm-mean' }, smith, widths);
    expect(mean.problems).toEqual([]);
    expect(mean.bands[0].lowPercent).toBe(smith.overall!.meanPercent);
    expect(mean.bands[0].highPercent).toBe(smith.overall!.meanPercent);
    // First molars are the last of the overall ratio, canines of the anterior one.
    const without = (...gone: readonly number[]) => ({
      upper: widths.upper.filter(({ tooth }) => !gone.includes(tooth)),
      lower: widths.lower.filter(({ tooth }) => !gone.includes(tooth)),
    });
    const texts = (...gone: readonly number[]) =>
      asked({}, without(...gone)).problems.map(({ text }) => text);
    expect(texts(17, 37)).toEqual([]);
    expect(texts(16, 34)).toEqual(['overall ratio: no width of 16, 34']);
    expect(texts(13, 41)).toEqual([
      'overall ratio: no width of 13, 41',
      'anterior ratio: no width of 13, 41',
    ]);
  });

  it('a ratio known without error lies outside or it does not; the borders are inside', () => {
    const band = { lowPercent: 75, highPercent: 79 };
    const sure = (percent: number) => chanceOutsideBand(percent, 0, band);
    expect([74.9, 75, 77, 79, 79.1].map(sure)).toEqual([1, 0, 0, 0, 1]);
    expect(chanceOutsideBand(77, 0.5, { lowPercent: 78, highPercent: 76 })).toBeNull();
    // Φ(−2) on either side of the middle; ½ and next to nothing at a border.
    expect(chanceOutsideBand(77, 1, band)).toBeCloseTo(2 * 0.0227501, 6);
    expect(chanceOutsideBand(75, 0.5, band)).toBeCloseTo(0.5, 9);
  });

  it('chance of lying outside, against 200,000 draws; none is given for a band without width', () => {
    const { normal } = seeded(5);
    const band = { lowPercent: 75.55, highPercent: 78.85 };
    let outside = 0;
    for (let i = 0; i < 200_000; i++) {
      const ratio = 78.3 + 0.7 * normal();
      if (ratio < band.lowPercent || ratio > band.highPercent) outside++;
    }
    expect(chanceOutsideBand(78.3, 0.7, band)).toBeCloseTo(outside / 200_000, 2);
    expect(chanceOutsideBand(78.3, 0, band)).toBe(0);
    expect(chanceOutsideBand(80, 0, band)).toBe(1);
    expect(chanceOutsideBand(80, 0.5, { lowPercent: 77, highPercent: 77 })).toBeNull();
  });
});
