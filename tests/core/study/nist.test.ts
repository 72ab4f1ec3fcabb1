import { describe, expect, it } from 'vitest';
import { leastSquares } from '../../../src/core/study/leastSquares.ts';
import { proportionalBias, straightLine } from '../../../src/core/study/proportionalBias.ts';
import { mean, stableSum, standardDeviation } from '../../../src/core/study/sums.ts';
import { LONGLEY, NORRIS } from '../../support/publishedPairs.ts';
import { refusalOf } from '../../support/refusal.ts';

// Certified values: NIST Statistical Reference Datasets, itl.nist.gov/div898/strd.

/** Correct digits by the log relative error. */
const digits = (got: number, certified: number): number =>
  got === certified ? 15 : -Math.log10(Math.abs((got - certified) / certified));

const alternating = (low: number, high: number, first: number): readonly number[] => [
  first,
  ...Array.from({ length: 1000 }, (_, i) => (i % 2 ? high : low)),
];

describe('Numerical Accuracy 1 to 3: mean and SD', () => {
  it.each([
    ['1', [10000001, 10000003, 10000002], 10000002, 1, 14],
    ['2', alternating(1.1, 1.3, 1.2), 1.2, 0.1, 13],
    ['3', alternating(1000000.1, 1000000.3, 1000000.2), 1000000.2, 0.1, 9], // the data themselves lose digits
  ] as const)('NumAcc%s', (_, values, certifiedMean, certifiedSd, least) => {
    expect(digits(mean(values), certifiedMean)).toBeGreaterThan(14);
    expect(digits(standardDeviation(values), certifiedSd)).toBeGreaterThanOrEqual(least);
  });

  it('a sum keeps what a plain loop loses', () => {
    expect(stableSum([1, 1e100, 1, -1e100])).toBe(2);
  });
});

describe('Norris: straight line', () => {
  const { x, y } = NORRIS;
  const certified = {
    intercept: -0.262323073774029,
    slope: 1.00211681802045,
    interceptSe: 0.232818234301152,
    slopeSe: 0.000429796848199937,
    residualSd: 0.884796396144373,
  };

  it('by sums', () => {
    const line = straightLine(x, y);
    for (const [name, value] of Object.entries(certified))
      expect(digits(line[name as keyof typeof certified], value), name).toBeGreaterThan(11);
    expect(digits(34 * line.residualSd ** 2, 26.6173985294224)).toBeGreaterThan(11);
  });

  it('by QR', () => {
    const { coefficients, standardErrors, residualSd, rSquared } = leastSquares([x], y);
    expect(digits(coefficients[0], certified.intercept)).toBeGreaterThan(11);
    expect(digits(coefficients[1], certified.slope)).toBeGreaterThan(12);
    expect(digits(standardErrors[0], certified.interceptSe)).toBeGreaterThan(11);
    expect(digits(standardErrors[1], certified.slopeSe)).toBeGreaterThan(11);
    expect(digits(residualSd, certified.residualSd)).toBeGreaterThan(11);
    expect(digits(rSquared, 0.999993745883712)).toBeGreaterThan(12);
  });

  it('as the line of differences on means: pairs made so that it must come out', () => {
    // difference y at mean x: a = x + y/2, b = x − y/2.
    const line = proportionalBias(
      x.map((value, i) => value + y[i] / 2),
      x.map((value, i) => value - y[i] / 2),
    );
    expect(digits(line.slope, certified.slope)).toBeGreaterThan(10);
    expect(digits(line.intercept, certified.intercept)).toBeGreaterThan(9);
    expect(digits(line.slopeSe, certified.slopeSe)).toBeGreaterThan(9);
    expect(line.p).toBeLessThan(1e-12);
  });
});

describe('Longley: six nearly dependent columns', () => {
  it('coefficients and errors to nine digits', () => {
    const columns = [1, 2, 3, 4, 5, 6].map((j) => LONGLEY.map((row) => row[j]));
    const found = leastSquares(
      columns,
      LONGLEY.map(([y]) => y),
    );
    const certified = [
      [-3482258.63459582, 890420.383607373],
      [15.0618722713733, 84.9149257747669],
      [-0.035819179292591, 0.0334910077722432],
      [-2.02022980381683, 0.488399681651699],
      [-1.03322686717359, 0.214274163161675],
      [-0.0511041056535807, 0.22607320006937],
      [1829.15146461355, 455.478499142212],
    ];
    certified.forEach(([coefficient, error], i) => {
      expect(digits(found.coefficients[i], coefficient)).toBeGreaterThan(9);
      expect(digits(found.standardErrors[i], error)).toBeGreaterThan(9);
    });
    expect(digits(found.residualSd, 304.854073561965)).toBeGreaterThan(10);
    expect(digits(found.rSquared, 0.995479004577296)).toBeGreaterThan(12);
  });

  it('refuses columns that follow from each other, and too few rows', async () => {
    const x = [1, 2, 3, 4, 6];
    const twice = x.map((value) => 2 * value);
    expect((await refusalOf(() => leastSquares([x, twice], [1, 3, 2, 5, 4]))).code).toBe('no-variation');
    expect((await refusalOf(() => leastSquares([[1, 2]], [1, 2]))).code).toBe('too-few-pairs');
  });
});
