import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { normalProbability } from '../../../src/core/base/normalDistribution.ts';
import { studentProbability, studentQuantile } from '../../../src/core/base/studentDistribution.ts';

// jstat ships no types.
const { jStat } = createRequire(import.meta.url)('jstat') as {
  jStat: { studentt: { cdf(x: number, degrees: number): number } };
};

describe('Student’s t', () => {
  it('closed forms for 1, 2 and 4 degrees (Abramowitz & Stegun 1964, 26.7.3 and 26.7.4)', () => {
    for (const t of [-30, -3, -1, -0.1, 0, 0.2, 1, 2.5, 12]) {
      expect(studentProbability(t, 1)).toBeCloseTo(0.5 + Math.atan(t) / Math.PI, 12);
      expect(studentProbability(t, 2)).toBeCloseTo(0.5 + t / (2 * Math.sqrt(2 + t * t)), 12);
      const q = 1 + (t * t) / 4;
      expect(studentProbability(t, 4)).toBeCloseTo(
        0.5 + ((3 / 8) * t * (1 - (t * t) / (12 * q))) / Math.sqrt(q),
        12,
      );
    }
  });

  // Percentage points of the printed tables (Abramowitz & Stegun 1964, table 26.10), three decimals.
  it.each([
    [2.571, 5, 0.975],
    [2.228, 10, 0.975],
    [1.725, 20, 0.95],
    [2.75, 30, 0.995],
  ])('table: P(t ≤ %d), %d degrees', (t, degrees, chance) => {
    expect(studentProbability(t, degrees)).toBeCloseTo(chance, 4);
  });

  it('agrees with jstat, and with the normal distribution far out in degrees', () => {
    for (const degrees of [2.5, 4, 7.3, 19, 60])
      for (const t of [-6, -2, -0.5, 0.5, 2, 6])
        expect(studentProbability(t, degrees)).toBeCloseTo(jStat.studentt.cdf(t, degrees), 7);
    for (const t of [-2, 0.3, 1.5]) expect(studentProbability(t, 1e7)).toBeCloseTo(normalProbability(t), 6);
  });

  it('quantiles undo probabilities, and are those of printed tables', () => {
    for (const degrees of [1, 2.5, 4, 16, 84, 1000])
      for (const p of [0.001, 0.025, 0.3, 0.5, 0.8, 0.975, 0.9999])
        expect(studentProbability(studentQuantile(p, degrees), degrees)).toBeCloseTo(p, 12);
    // SciPy 1.x stats.t.ppf
    expect(studentQuantile(0.975, 16)).toBeCloseTo(2.1199052992212546, 12);
    expect(studentQuantile(0.975, 84)).toBeCloseTo(1.9886096669757083, 12);
    expect(studentQuantile(0.025, 84)).toBeCloseTo(-1.9886096669757083, 12);
  });
});
