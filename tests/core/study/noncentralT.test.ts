import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { studentProbability } from '../../../src/core/base/studentDistribution.ts';
import { STUDY_CONVENTIONS } from '../../../src/core/study/Conventions.ts';
import { limitsOfAgreement } from '../../../src/core/study/limitsOfAgreement.ts';
import { noncentralTProbability, toleranceFactor } from '../../../src/core/study/noncentralT.ts';
import { mean, standardDeviation } from '../../../src/core/study/sums.ts';
import { makeRandom } from '../../support/random.ts';

// jstat ships no types.
const { jStat } = createRequire(import.meta.url)('jstat') as {
  jStat: { noncentralt: { cdf(x: number, degrees: number, noncentrality: number): number } };
};

describe('non-central t', () => {
  it('is Student’s t without non-centrality', () => {
    for (const degrees of [1, 2, 5, 16, 84])
      for (const t of [-3, -0.5, 0, 1, 2.5])
        expect(noncentralTProbability(t, degrees, 0)).toBeCloseTo(
          studentProbability(t, degrees),
          degrees < 3 ? 4 : 9,
        );
  });

  it('agrees with jstat', () => {
    for (const degrees of [4, 9, 24])
      for (const noncentrality of [0.5, 2, 6])
        for (const t of [0.5, 2, 5, 9])
          expect(noncentralTProbability(t, degrees, noncentrality)).toBeCloseTo(
            jStat.noncentralt.cdf(t, degrees, noncentrality),
            8,
          );
  });
});

// One-sided tolerance factors, 95 % of the population with 95 % chance: tables of Odeh RE, Owen DB 1980 (from
// memory, unverified).
it.each([
  [5, 4.203],
  [10, 2.911],
  [20, 2.396],
  [30, 2.22],
  [50, 2.065],
])('tolerance factor of %d values: %d', (n, printed) => {
  expect(toleranceFactor(0.95, n, 1.6448536269514722)).toBeCloseTo(printed, 3);
});

describe('exact intervals of the limits', () => {
  const exact = { ...STUDY_CONVENTIONS, limitsInterval: 'exact' } as const;
  const normalFrom = (random: () => number) => () =>
    Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());

  it('hold the true limit in about 95 of 100 small studies', () => {
    const normal = normalFrom(makeRandom(5));
    const n = 8;
    const [near, far] = [0.025, 0.975].map((chance) => toleranceFactor(chance, n, 1.96));
    const first = Array.from({ length: n }, normal);
    const { bias, sd, limitsCi } = limitsOfAgreement(
      first,
      first.map(() => 0),
      exact,
    );
    expect(limitsCi[1]).toEqual([bias + near * sd, bias + far * sd]);
    const truth = 1.96; // differences from a standard normal
    let held = 0;
    const studies = 4000;
    for (let study = 0; study < studies; study++) {
      const a = Array.from({ length: n }, normal);
      const [middle, spread] = [mean(a), standardDeviation(a)];
      if (middle + near * spread <= truth && truth <= middle + far * spread) held++;
    }
    // Binomial SD 0.0034: four of them either way.
    expect(Math.abs(held / studies - 0.95)).toBeLessThan(0.014);
  });

  it('lie close to the approximate ones in a large study, the outer end further out', () => {
    const normal = normalFrom(makeRandom(6));
    const a = Array.from({ length: 400 }, normal);
    const zeros = a.map(() => 0);
    const [near, far] = limitsOfAgreement(a, zeros, exact).limitsCi[1];
    const [low, high] = limitsOfAgreement(a, zeros).limitsCi[1];
    expect(Math.abs(near - low)).toBeLessThan(0.02);
    expect(Math.abs(far - high)).toBeLessThan(0.02);
    expect(near).toBeGreaterThan(low);
    expect(far).toBeGreaterThan(high);
  });
});
