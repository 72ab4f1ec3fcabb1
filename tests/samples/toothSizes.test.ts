import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../src/samples/random.ts';
import { drawSizes } from '../../src/samples/toothSizes.ts';

const seeds = Array.from({ length: 1500 }, (_, i) => i);
const mean = (x: readonly number[]) => x.reduce((s, v) => s + v, 0) / x.length;
const sd = (x: readonly number[]) => Math.sqrt(mean(x.map((v) => (v - mean(x)) ** 2)));

describe('drawSizes', () => {
  it.each([
    [11, 8.59, 0.5],
    [31, 5.34, 0.32],
    [36, 10.96, 0.56],
    [13, 7.74, 0.4],
  ])(
    'draws tooth %i round mean %f with SD %f (Moorrees 1957, from memory), cut at 2.5 SD',
    (tooth, meanMm, sdMm) => {
      const jaw = tooth < 30 ? 'upper' : 'lower';
      const widths = seeds.map((seed) => drawSizes(jaw, seed, [tooth]).get(tooth)!.widthMm);
      // standard error of the mean 0.013 SD, of the SD 0.018 SD; cutting lowers the SD by about 3 %
      expect(Math.abs(mean(widths) - meanMm)).toBeLessThan(0.08 * sdMm);
      expect(sd(widths) / sdMm).toBeGreaterThan(0.9);
      expect(sd(widths) / sdMm).toBeLessThan(1.05);
    },
  );

  it('keeps left and right alike: correlation 0.9', () => {
    const pairs = seeds.map((seed) => drawSizes('lower', seed, [36, 46]));
    const left = pairs.map((s) => s.get(36)!.widthMm);
    const right = pairs.map((s) => s.get(46)!.widthMm);
    const r = mean(left.map((x, i) => (x - mean(left)) * (right[i] - mean(right)))) / (sd(left) * sd(right));
    expect(r).toBeGreaterThan(0.86);
    expect(r).toBeLessThan(0.94);
  });
});

describe('makeRandom', () => {
  it('is uniform and normal by their moments, and differs by stream', () => {
    const random = makeRandom(7, 'a');
    const uniform = Array.from({ length: 20_000 }, () => random.next());
    expect(mean(uniform)).toBeCloseTo(0.5, 1);
    expect(sd(uniform)).toBeCloseTo(Math.sqrt(1 / 12), 2);
    const normal = Array.from({ length: 20_000 }, () => random.normal());
    expect(Math.abs(mean(normal))).toBeLessThan(0.03);
    expect(sd(normal)).toBeGreaterThan(0.93);
    expect(sd(normal)).toBeLessThan(1.02);
    expect(makeRandom(7, 'a').next()).toBe(makeRandom(7, 'a').next());
    expect(makeRandom(7, 'b').next()).not.toBe(makeRandom(7, 'a').next());
  });
});
