import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { normalProbability, normalQuantile } from '../../../src/core/base/normalDistribution.ts';

// jstat ships no types.
const { jStat } = createRequire(import.meta.url)('jstat') as {
  jStat: { normal: { cdf(x: number, mean: number, sd: number): number } };
};

describe('normal distribution', () => {
  // Abramowitz & Stegun 1964, table 26.1 (15 digits).
  it.each([
    [0, 0.5],
    [1, 0.841344746068543],
    [2, 0.977249868051821],
    [3, 0.99865010196837],
  ])('P(z ≤ %d) as tabled', (z, p) => {
    expect(Math.abs(normalProbability(z) - p)).toBeLessThan(1e-14);
    expect(Math.abs(normalProbability(-z) - (1 - p))).toBeLessThan(1e-14);
  });

  it('agrees with jstat from −8 to 8, across the change of method', () => {
    for (let z = -8; z <= 8; z += 0.01)
      expect(Math.abs(normalProbability(z) - jStat.normal.cdf(z, 0, 1)), `z ${z}`).toBeLessThan(1e-13);
  });

  // Usual quantiles to 12 digits, e.g. R: qnorm(c(0.95, 0.975, 0.99), digits 16).
  it.each([
    [0.95, 1.6448536269514722],
    [0.975, 1.959963984540054],
    [0.99, 2.3263478740408408],
    [0.5, 0],
    [1, Number.POSITIVE_INFINITY],
    [0, Number.NEGATIVE_INFINITY],
  ])('quantile of %d', (p, z) => {
    if (Number.isFinite(z)) expect(normalQuantile(p)).toBeCloseTo(z, 12);
    else expect(normalQuantile(p)).toBe(z);
    expect(normalProbability(normalQuantile(p))).toBeCloseTo(p, 13);
  });

  it('is odd about one half', () => {
    for (let p = 0.001; p < 0.5; p += 0.0137)
      expect(normalQuantile(p) + normalQuantile(1 - p)).toBeCloseTo(0, 11);
  });
});
