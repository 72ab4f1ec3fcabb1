import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { fProbability, fQuantile } from '../../../src/core/base/fDistribution.ts';
import { studentQuantile } from '../../../src/core/base/studentDistribution.ts';

// jstat ships no types.
const { jStat } = createRequire(import.meta.url)('jstat') as {
  jStat: { centralF: { cdf(x: number, above: number, below: number): number } };
};

describe('F distribution', () => {
  it('closed form with 2 degrees above: 1 − (1 + 2f/m)^(−m/2)', () => {
    for (const m of [1, 3, 7.5, 40])
      for (const f of [0.01, 0.5, 1, 4, 30])
        expect(fProbability(f, 2, m)).toBeCloseTo(1 - (1 + (2 * f) / m) ** (-m / 2), 12);
  });

  it('with 1 degree above it is the square of Student’s t', () => {
    for (const m of [1, 4.5, 16, 200])
      expect(fQuantile(0.95, 1, m) / studentQuantile(0.975, m) ** 2).toBeCloseTo(1, 10);
  });

  it('agrees with jstat', () => {
    for (const [above, below] of [
      [5, 18],
      [4.785, 5],
      [60, 3],
    ])
      for (const f of [0.2, 1, 3.4, 9])
        expect(fProbability(f, above, below)).toBeCloseTo(jStat.centralF.cdf(f, above, below), 7);
  });

  it('quantiles undo probabilities and are those of SciPy (stats.f.ppf)', () => {
    for (const p of [0.01, 0.025, 0.5, 0.975, 0.999])
      expect(fProbability(fQuantile(p, 5, 4.785144), 5, 4.785144)).toBeCloseTo(p, 12);
    expect(fQuantile(0.975, 5, 18)).toBeCloseTo(3.381967805875243, 10);
    expect(fQuantile(0.975, 4.785144, 5)).toBeCloseTo(7.190737139664804, 9);
  });
});
