import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { studentQuantile } from '../../../src/core/base/studentDistribution.ts';
import { STUDY_CONVENTIONS } from '../../../src/core/study/Conventions.ts';
import { deming } from '../../../src/core/study/deming.ts';
import { linConcordance } from '../../../src/core/study/linConcordance.ts';
import { passingBablok } from '../../../src/core/study/passingBablok.ts';
import { straightLine } from '../../../src/core/study/proportionalBias.ts';
import { yorkLine } from '../../../src/core/study/york.ts';
import { METHOD_COMPARISON, PEAK_FLOW, PEARSON_YORK } from '../../support/publishedPairs.ts';
import { makeRandom } from '../../support/random.ts';
import { refusalOf } from '../../support/refusal.ts';

const { x, y } = METHOD_COMPARISON;

describe('reference set TD13 of the R package mcr, n = 50', () => {
  // Every interval the reference printed has t(48) = 2.01063456, off in the eighth digit; ours is SciPy's,
  // 2.010634757624232. With the reference's t its printed digits come out.
  const theirs = (middle: number, [low, high]: readonly [number, number]) => {
    const half = (((high - low) / 2) * 2.01063456) / 2.010634757624232;
    return [middle - half, middle + half];
  };

  it('Deming, error variances equal', () => {
    const line = deming(x, y);
    expect(line.slope).toBeCloseTo(1.02538496851441, 13);
    const slopeCi = theirs(line.slope, line.slopeCi!);
    expect(slopeCi[0]).toBeCloseTo(0.89984994, 8);
    expect(slopeCi[1]).toBeCloseTo(1.15091999, 8);
    expect(line.slopeCi![0]).toBeCloseTo(0.89984994, 7);
    expect(line.intercept).toBeCloseTo(-2245496.24285011, 6);
    const interceptCi = theirs(line.intercept, line.interceptCi!);
    expect(interceptCi[0]).toBeCloseTo(-6647996.09, 1);
    expect(interceptCi[1]).toBeCloseTo(2157003.6, 1);
  });

  it('Deming, error variances 1.21 to 1', () => {
    const line = deming(x, y, 1.21);
    expect(line.slope).toBeCloseTo(1.03192038988364, 13);
    expect(line.intercept).toBeCloseTo(-2556304.98873394, 6);
  });

  it('a jackknife interval centred on the pseudo-values is as wide and lies elsewhere', () => {
    const full = deming(x, y);
    const pseudo = deming(x, y, 1, { ...STUDY_CONVENTIONS, jackknifeCentre: 'pseudo-values' });
    const width = ([low, high]: readonly [number, number]) => high - low;
    expect(width(pseudo.slopeCi!)).toBeCloseTo(width(full.slopeCi!), 12);
    expect(Math.abs(pseudo.slopeCi![0] - full.slopeCi![0])).toBeGreaterThan(1e-6);
  });

  it('Passing–Bablok with intervals', () => {
    const line = passingBablok(x, y);
    expect(line.slope).toBeCloseTo(0.991592719686709, 14);
    expect(line.slopeCi![0]).toBeCloseTo(0.88402817327764, 14);
    expect(line.slopeCi![1]).toBeCloseTo(1.12373138870351, 13);
    expect(line.intercept).toBeCloseTo(-244854.969408333, 7);
    expect(line.interceptCi![0]).toBeCloseTo(-5115890.544572, 5);
    expect(line.interceptCi![1]).toBeCloseTo(2051714.78796142, 7);
  });

  it('Passing–Bablok with ranks rounded at the end: one rank further out', () => {
    const { slopeCi } = passingBablok(x, y, { ...STUDY_CONVENTIONS, passingBablokRank: 'rounded-last' });
    expect(slopeCi![0]).toBeCloseTo(0.884003, 6);
    expect(slopeCi![1]).toBeCloseTo(1.123786, 6);
  });

  it('least squares and concordance', () => {
    const line = straightLine(x, y);
    expect(line.slope).toBeCloseTo(0.95940588636076, 12);
    expect(line.intercept).toBeCloseTo(892308.440301856, 6);
    const t48 = studentQuantile(0.975, 48);
    const half = t48 * line.slopeSe;
    const ci = theirs(line.slope, [line.slope - half, line.slope + half]);
    expect(ci[0]).toBeCloseTo(0.855720681, 9);
    expect(ci[1]).toBeCloseTo(1.063091092, 9);
    expect(linConcordance(x, y).value).toBeCloseTo(0.936056793, 9);
  });
});

describe('Pearson K 1901 with the weights of York D 1966', () => {
  const { x, y, weightsX, weightsY } = PEARSON_YORK;

  it('orthogonal line and least squares', () => {
    const line = deming(x, y);
    expect(line.slope).toBeCloseTo(-0.5455611975, 10);
    expect(line.intercept).toBeCloseTo(5.7840437745, 10); // Pearson is quoted with 5.7857 and −0.546
    expect(straightLine(x, y).slope).toBeCloseTo(-0.539577275, 9);
    expect(straightLine(x, y).intercept).toBeCloseTo(5.7611851904, 10);
  });

  it('York’s line with its errors and χ²', () => {
    const line = yorkLine(x, y, weightsX, weightsY);
    expect(line.slope).toBeCloseTo(-0.480533407, 9);
    expect(line.intercept).toBeCloseTo(5.479910224, 9);
    expect(line.slopeSe).toBeCloseTo(0.057985, 6);
    expect(line.interceptSe).toBeCloseTo(0.294971, 6);
    expect(line.chiSquare).toBeCloseTo(11.8664, 4);
  });

  it('with equal weights York’s line is Deming’s, for any ratio', () => {
    for (const ratio of [0.25, 1, 4]) {
      const even = yorkLine(
        x,
        y,
        x.map(() => 1 / ratio),
        y.map(() => 1),
      );
      const line = deming(x, y, ratio);
      expect(even.slope).toBeCloseTo(line.slope, 10);
      expect(even.intercept).toBeCloseTo(line.intercept, 10);
    }
  });

  it('refuses weights that are none', async () => {
    expect(
      (
        await refusalOf(() =>
          yorkLine(
            x,
            y,
            x.map(() => 0),
            weightsY,
          ),
        )
      ).code,
    ).toBe('field-invalid');
  });
});

it('peak flow (Bland JM, Altman DG 1986): Deming', () => {
  const line = deming(PEAK_FLOW.wright1, PEAK_FLOW.mini1);
  expect(line.slope).toBeCloseTo(0.9708808198, 10);
  expect(line.intercept).toBeCloseTo(15.2315555, 7);
});

describe('laws', () => {
  const pairs = fc.tuple(fc.integer({ min: 5, max: 30 }), fc.integer()).map(([n, seed]) => {
    const random = makeRandom(seed);
    const a = Array.from({ length: n }, () => 5 + 6 * random());
    return { a, b: a.map((value) => 0.3 + 0.9 * value + 0.5 * random()) };
  });

  it('swapped columns give the inverse line, by Deming with the inverse ratio and by Passing–Bablok', () => {
    fc.assert(
      fc.property(pairs, fc.double({ min: 0.2, max: 5, noNaN: true }), ({ a, b }, ratio) => {
        expect(deming(b, a, 1 / ratio).slope * deming(a, b, ratio).slope).toBeCloseTo(1, 9);
        const [there, back] = [passingBablok(a, b), passingBablok(b, a)];
        // Every slope is above −1 here, so both are plain medians; an even number of slopes averages two.
        if ((a.length * (a.length - 1)) % 4) expect(there.slope * back.slope).toBeCloseTo(1, 9);
      }),
      { seed: 2, numRuns: 100 },
    );
  });

  it('a constant added moves the intercept; a common scale moves it in proportion; rows may stand in any order', () => {
    fc.assert(
      fc.property(pairs, ({ a, b }) => {
        for (const lineOf of [deming, passingBablok] as const) {
          const line = lineOf(a, b);
          const moved = lineOf(
            a,
            b.map((value) => value + 2),
          );
          expect(moved.slope).toBeCloseTo(line.slope, 9);
          expect(moved.intercept).toBeCloseTo(line.intercept + 2, 8);
          const scaled = lineOf(
            a.map((v) => 25.4 * v),
            b.map((v) => 25.4 * v),
          );
          expect(scaled.slope).toBeCloseTo(line.slope, 9);
          expect(scaled.intercept).toBeCloseTo(25.4 * line.intercept, 7);
          const turned = lineOf([...a].reverse(), [...b].reverse());
          expect(turned.slope).toBeCloseTo(line.slope, 10);
          turned.slopeCi?.forEach((end, i) => {
            expect(end).toBeCloseTo(line.slopeCi![i], 9);
          });
        }
      }),
      { seed: 3, numRuns: 60 },
    );
  });

  it('Deming’s jackknife from sums is that of leaving out one by one', () => {
    const { wright1: a, mini1: b } = PEAK_FLOW;
    const n = a.length;
    const slopes = a.map(
      (_, k) =>
        deming(
          a.filter((_, i) => i !== k),
          b.filter((_, i) => i !== k),
        ).slope,
    );
    const middle = slopes.reduce((sum, s) => sum + s, 0) / n;
    const se = Math.sqrt(((n - 1) / n) * slopes.reduce((sum, s) => sum + (s - middle) ** 2, 0));
    const [low, high] = deming(a, b).slopeCi!;
    expect((high - low) / 2).toBeCloseTo(2.131449545559776 * se, 10); // SciPy stats.t.ppf(0.975, 15)
  });
});

describe('what cannot be had', () => {
  it.each([
    [deming, [1, 1, 1], [1, 2, 3], 'no-variation'],
    [deming, [1, 2, 3], [2, 2, 2], 'no-variation'],
    [deming, [1, 2, 3], [1, Number.NaN, 2], 'number-invalid'],
    [deming, [1], [1], 'too-few-pairs'],
    [passingBablok, [1, 2], [1, 2], 'too-few-pairs'],
    [passingBablok, [1, 1, 1], [1, 2, 3], 'no-variation'],
    [passingBablok, [1, 2, 3], [1, 2, Number.NEGATIVE_INFINITY], 'number-invalid'],
  ] as const)('%o of %j and %j is refused: %s', async (lineOf, a, b, code) => {
    expect((await refusalOf(() => lineOf(a, b))).code).toBe(code);
  });

  it('uncorrelated columns have no Deming line', async () => {
    expect((await refusalOf(() => deming([-1, 0, 1, 0], [0, 1, 0, -1]))).code).toBe('no-variation');
  });

  it('too many pairs for all slopes', async () => {
    const many = Array.from({ length: 6001 }, (_, i) => i);
    expect((await refusalOf(() => passingBablok(many, many))).code).toBe('too-many-pairs');
  });

  it('three points are too few for an interval of Passing–Bablok', () => {
    expect(passingBablok([1, 2, 3], [1, 2.5, 3])).toMatchObject({ slopeCi: null, interceptCi: null });
  });
});
