import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { chiSquareProbability, chiSquareQuantile } from '../../../src/core/base/chiSquareDistribution.ts';
import { normalQuantile } from '../../../src/core/base/normalDistribution.ts';

// jstat ships no types.
const { jStat } = createRequire(import.meta.url)('jstat') as {
  jStat: { chisquare: { cdf(x: number, degrees: number): number } };
};

describe('chi-square distribution', () => {
  it('closed forms: 1 − e^(−x/2) with 2 degrees, and with 4', () => {
    for (const x of [0.01, 0.5, 2, 9, 40]) {
      expect(chiSquareProbability(x, 2)).toBeCloseTo(1 - Math.exp(-x / 2), 12);
      expect(chiSquareProbability(x, 4)).toBeCloseTo(1 - Math.exp(-x / 2) * (1 + x / 2), 12);
    }
  });

  it('with 1 degree it is the square of a standard normal', () => {
    for (const p of [0.05, 0.5, 0.95, 0.99])
      expect(chiSquareQuantile(p, 1)).toBeCloseTo(normalQuantile((1 + p) / 2) ** 2, 9);
  });

  it('agrees with jstat', () => {
    for (const degrees of [1, 3.5, 18, 170, 900])
      for (const share of [0.5, 0.9, 1, 1.2, 2])
        expect(chiSquareProbability(share * degrees, degrees)).toBeCloseTo(
          jStat.chisquare.cdf(share * degrees, degrees),
          9,
        );
  });

  it('quantiles undo probabilities, also of many degrees; printed tables of three digits agree', () => {
    for (const degrees of [1, 7, 60, 5000])
      for (const p of [0.025, 0.5, 0.975])
        expect(chiSquareProbability(chiSquareQuantile(p, degrees), degrees)).toBeCloseTo(p, 11);
    // Abramowitz & Stegun 1964, table 26.8.
    expect(chiSquareQuantile(0.975, 10)).toBeCloseTo(20.4831, 3);
    expect(chiSquareQuantile(0.025, 10)).toBeCloseTo(3.24697, 4);
    expect(chiSquareProbability(0, 3)).toBe(0);
    expect(chiSquareProbability(Number.POSITIVE_INFINITY, 3)).toBe(1);
  });
});
