import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { studentQuantile } from '../../../src/core/base/studentDistribution.ts';
import { limitsOfAgreement } from '../../../src/core/study/limitsOfAgreement.ts';
import { equivalence, pairedT } from '../../../src/core/study/pairedTests.ts';
import { proportionalBias } from '../../../src/core/study/proportionalBias.ts';
import { replicateAgreement } from '../../../src/core/study/replicateAgreement.ts';
import { pairsForBias, pairsForLimits, subjectsForIntraclass } from '../../../src/core/study/sampleSize.ts';
import {
  coefficientOfVariationPercent,
  dahlbergError,
  reliabilityRatio,
} from '../../../src/core/study/technicalError.ts';
import { makeRandom } from '../../support/random.ts';
import { refusalOf } from '../../support/refusal.ts';

const columns = fc.tuple(fc.integer({ min: 3, max: 40 }), fc.integer()).map(([n, seed]) => {
  const random = makeRandom(seed);
  const a = Array.from({ length: n }, () => 5 + 6 * random());
  return { a, b: a.map((value) => value + 0.4 * random() - 0.1) };
});

describe('laws of the paired figures', () => {
  it('swapped columns turn bias, limits and t round and leave the errors', () => {
    fc.assert(
      fc.property(columns, ({ a, b }) => {
        const [there, back] = [limitsOfAgreement(a, b), limitsOfAgreement(b, a)];
        expect(back.bias).toBeCloseTo(-there.bias, 12);
        expect(back.sd).toBeCloseTo(there.sd, 12);
        expect(back.limits[0]).toBeCloseTo(-there.limits[1], 12);
        expect(back.limitsCi[0][0]).toBeCloseTo(-there.limitsCi[1][1], 12);
        expect(pairedT(b, a).t).toBeCloseTo(-pairedT(a, b).t, 8);
        expect(dahlbergError(b, a)).toBeCloseTo(dahlbergError(a, b), 12);
        expect(proportionalBias(b, a).slope).toBeCloseTo(-proportionalBias(a, b).slope, 10);
      }),
      { seed: 5, numRuns: 100 },
    );
  });

  it('a constant on one column moves bias and limits by it and leaves the SD', () => {
    fc.assert(
      fc.property(columns, fc.double({ min: -50, max: 50, noNaN: true }), ({ a, b }, c) => {
        const before = limitsOfAgreement(a, b);
        const after = limitsOfAgreement(
          a.map((value) => value + c),
          b,
        );
        expect(after.bias).toBeCloseTo(before.bias + c, 10);
        expect(after.sd).toBeCloseTo(before.sd, 10);
        expect(after.limits[1]).toBeCloseTo(before.limits[1] + c, 10);
      }),
      { seed: 6, numRuns: 100 },
    );
  });

  it('another unit scales every length and leaves every ratio and p', () => {
    fc.assert(
      fc.property(columns, fc.double({ min: 0.01, max: 1000, noNaN: true }), ({ a, b }, k) => {
        const scaled = (values: readonly number[]) => values.map((value) => k * value);
        const [before, after] = [limitsOfAgreement(a, b), limitsOfAgreement(scaled(a), scaled(b))];
        expect(after.sd / before.sd / k).toBeCloseTo(1, 9);
        expect(dahlbergError(scaled(a), scaled(b)) / dahlbergError(a, b) / k).toBeCloseTo(1, 9);
        expect(pairedT(scaled(a), scaled(b)).p).toBeCloseTo(pairedT(a, b).p, 9);
        expect(coefficientOfVariationPercent(scaled(a), scaled(b))).toBeCloseTo(
          coefficientOfVariationPercent(a, b),
          9,
        );
        expect(reliabilityRatio(scaled(a), scaled(b))).toBeCloseTo(reliabilityRatio(a, b), 9);
      }),
      { seed: 7, numRuns: 100 },
    );
  });

  it('replicates of one are the plain limits', () => {
    fc.assert(
      fc.property(columns, ({ a, b }) => {
        const plain = limitsOfAgreement(a, b);
        const single = replicateAgreement(a.map((value, i) => ({ a: [value], b: [b[i]] })));
        expect(single.bias).toBeCloseTo(plain.bias, 12);
        expect(single.sd).toBeCloseTo(plain.sd, 12);
        expect(single.biasCi[0]).toBeCloseTo(plain.biasCi[0], 12);
        expect(single.limitsCi[1][1]).toBeCloseTo(plain.limitsCi[1][1], 10);
        expect(single.withinVarianceA).toBeNull();
      }),
      { seed: 8, numRuns: 60 },
    );
  });

  it('replicates find the spread of single measurements, which their means hide', () => {
    const random = makeRandom(12);
    const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const many = (truth: number, count: number, sd: number) =>
      Array.from({ length: count }, () => truth + sd * normal());
    const subjects = Array.from({ length: 3000 }, (_, i) => {
      const truth = 8 + normal();
      return { a: many(truth, 2 + (i % 3), 0.3), b: many(truth, 1 + (i % 4), 0.4) };
    });
    const found = replicateAgreement(subjects);
    expect(found.sd).toBeCloseTo(Math.hypot(0.3, 0.4), 1.5);
    expect(Math.sqrt(found.withinVarianceA!)).toBeCloseTo(0.3, 1.5);
    expect(Math.sqrt(found.withinVarianceB!)).toBeCloseTo(0.4, 1.5);
  });
});

describe('equivalence', () => {
  const a = [8.1, 7.4, 6.9, 5.6, 9.2, 10.4, 7.7, 8.8];
  const b = [8.0, 7.5, 6.8, 5.5, 9.2, 10.2, 7.7, 8.7];

  it('holds exactly where the 90 % interval of the bias lies within the limit', () => {
    const { biasCi90 } = equivalence(a, b, 0.2);
    const edge = Math.max(-biasCi90[0], biasCi90[1]);
    expect(equivalence(a, b, edge + 1e-9)).toMatchObject({ isEquivalent: true });
    expect(equivalence(a, b, edge - 1e-9)).toMatchObject({ isEquivalent: false });
    expect(equivalence(a, b, edge).p).toBeCloseTo(0.05, 10);
  });

  it('says apart whether single measurements are within it', () => {
    expect(equivalence(a, b, 0.15)).toMatchObject({ isEquivalent: true, areLimitsWithin: false });
    expect(equivalence(a, b, 1)).toMatchObject({ areLimitsWithin: true, areLimitsCiWithin: true });
  });

  it('refuses a limit that is none, and differences without spread', async () => {
    expect((await refusalOf(() => equivalence(a, b, 0))).code).toBe('field-invalid');
    expect((await refusalOf(() => equivalence(a, b, Number.NaN))).code).toBe('field-invalid');
    expect(
      (
        await refusalOf(() =>
          equivalence(
            a,
            a.map((v) => v + 0.3),
            1,
          ),
        )
      ).code,
    ).toBe('no-variation');
  });
});

describe('sample size', () => {
  it('is the least that gives the width', () => {
    for (const half of [0.02, 0.05, 0.3])
      for (const [size, se] of [
        [pairsForBias, (n: number) => 1 / n],
        [pairsForLimits, (n: number) => 1 / n + 1.96 ** 2 / (2 * (n - 1))],
      ] as const) {
        const n = size(0.15, half);
        const halfAt = (m: number) => studentQuantile(0.975, m - 1) * 0.15 * Math.sqrt(se(m));
        expect(halfAt(n)).toBeLessThanOrEqual(half);
        if (n > 2) expect(halfAt(n - 1)).toBeGreaterThan(half);
      }
  });

  it('Bonett’s subjects: ρ = 0.8, 2 ratings, width 0.2 → 8 × 1.96² × 0.36² ÷ (2 × 0.04) + 1, rounded up', () => {
    expect(subjectsForIntraclass(0.8, 2, 0.2)).toBe(Math.ceil((8 * 3.841458821 * 0.1296) / 0.08 + 1));
  });

  it('refuses what no study can give', async () => {
    for (const ask of [
      () => pairsForBias(0, 1),
      () => pairsForLimits(1, Number.NaN),
      () => pairsForBias(1, 1e-9),
      () => subjectsForIntraclass(1, 2, 0.1),
      () => subjectsForIntraclass(0.9, 1, 0.1),
    ])
      expect((await refusalOf(ask)).code).toBe('field-invalid');
  });
});

describe('what cannot be had', () => {
  it('two pairs have limits; one pair and NaN are refused', async () => {
    expect(limitsOfAgreement([1, 2], [1, 1]).limits.every(Number.isFinite)).toBe(true);
    expect((await refusalOf(() => limitsOfAgreement([1], [1]))).code).toBe('too-few-pairs');
    expect((await refusalOf(() => limitsOfAgreement([1, Number.NaN], [1, 2]))).code).toBe('number-invalid');
    expect((await refusalOf(() => limitsOfAgreement([1, 1e300], [1, 2]))).code).toBe('number-invalid');
    expect((await refusalOf(() => proportionalBias([1, 2], [1, 2]))).code).toBe('too-few-pairs');
    expect((await refusalOf(() => proportionalBias([1, 2, 3], [3, 2, 1]))).code).toBe('no-variation');
    expect(
      (
        await refusalOf(() =>
          replicateAgreement([
            { a: [1], b: [] },
            { a: [1], b: [2] },
          ]),
        )
      ).code,
    ).toBe('too-few-pairs');
  });

  it('equal differences have an SD of exactly 0 whatever binary fractions make of them, and no t', async () => {
    const a = [7.1, 8.3, 9.7, 10.9];
    const b = a.map((value) => value + 0.3);
    expect(limitsOfAgreement(a, b).sd).toBe(0);
    expect((await refusalOf(() => pairedT(a, b))).code).toBe('no-variation');
  });
});
