import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { linConcordance } from '../../../src/core/study/linConcordance.ts';
import { pearson } from '../../../src/core/study/pearson.ts';
import { makeRandom } from '../../support/random.ts';
import { refusalOf } from '../../support/refusal.ts';

describe('Lin’s concordance', () => {
  it('by its definition on three pairs: 2 × 2/3 ÷ (2/3 + 2/3 + 1) for columns one apart', () => {
    expect(linConcordance([1, 2, 3], [2, 3, 4]).value).toBeCloseTo(4 / 3 / (4 / 3 + 1), 14);
  });

  it('the interval holds the truth in about 95 of 100 simulated studies', () => {
    const random = makeRandom(9);
    const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    // Means 0 and 0.5, SD 1 and 1.1, correlation 0.9.
    const truth = (2 * 0.9 * 1.1) / (1 + 1.21 + 0.25);
    let held = 0;
    const studies = 2000;
    for (let study = 0; study < studies; study++) {
      const a = Array.from({ length: 40 }, normal);
      const b = a.map((value) => 0.5 + 1.1 * (0.9 * value + Math.sqrt(1 - 0.81) * normal()));
      const [low, high] = linConcordance(a, b).ci!;
      if (low <= truth && truth <= high) held++;
    }
    // An asymptotic interval at n = 40; binomial SD 0.005.
    expect(Math.abs(held / studies - 0.95)).toBeLessThan(0.02);
  });

  it('never beyond the correlation, the same with columns swapped, scale and origin shared', () => {
    const columns = fc.tuple(fc.integer({ min: 4, max: 20 }), fc.integer()).map(([n, seed]) => {
      const random = makeRandom(seed);
      const a = Array.from({ length: n }, () => 10 * random());
      return [a, a.map((value) => value + 3 * random())] as const;
    });
    fc.assert(
      fc.property(columns, ([a, b]) => {
        const { value, ci } = linConcordance(a, b);
        expect(Math.abs(value)).toBeLessThanOrEqual(Math.abs(pearson(a, b).value) + 1e-12);
        expect(linConcordance(b, a).value).toBeCloseTo(value, 12);
        const moved = linConcordance(
          a.map((v) => 25.4 * v + 3),
          b.map((v) => 25.4 * v + 3),
        );
        expect(moved.value).toBeCloseTo(value, 10);
        expect(moved.ci![0]).toBeCloseTo(ci![0], 8);
      }),
      { seed: 4, numRuns: 100 },
    );
  });

  it('equal columns agree fully, without an interval; constant ones are refused', async () => {
    expect(linConcordance([1, 2, 4], [1, 2, 4])).toEqual({ value: 1, ci: null });
    expect((await refusalOf(() => linConcordance([1, 1, 1], [1, 2, 3]))).code).toBe('no-variation');
    expect((await refusalOf(() => pearson([1, 2, 3], [0.1, 0.1, 0.1]))).code).toBe('no-variation');
  });
});
