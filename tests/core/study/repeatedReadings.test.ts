import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { intraclass } from '../../../src/core/study/intraclass.ts';
import { readingBiases, repeatedReadings } from '../../../src/core/study/repeatedReadings.ts';
import { replicateAgreement } from '../../../src/core/study/replicateAgreement.ts';
import { dahlbergError } from '../../../src/core/study/technicalError.ts';
import { PEAK_FLOW, pressure, SHROUT_FLEISS } from '../../support/publishedPairs.ts';
import { makeRandom } from '../../support/random.ts';
import { refusalOf } from '../../support/refusal.ts';

const readings = (first: number) =>
  pressure(first).map((value, i) => [value, pressure(first + 1)[i], pressure(first + 2)[i]]);

describe('systolic pressure read three times (Bland JM, Altman DG, Stat Methods Med Res 1999;8:135–160)', () => {
  it.each([
    ['observer J', 0, 37.408, 37.40784314],
    ['observer R', 3, 37.98, 37.98039216],
    ['machine S', 6, 83.141, 83.14117647],
  ] as const)('variance within subjects of %s as printed', (_, first, printed, exact) => {
    const found = repeatedReadings(readings(first));
    expect(found.withinSd ** 2).toBeCloseTo(printed, 2);
    expect(found.withinSd ** 2).toBeCloseTo(exact, 7);
    expect(found).toMatchObject({ subjects: 85, readings: 255, degreesOfFreedom: 170 });
  });

  it('repeatability coefficients, and the same as the replicate design has', () => {
    expect(repeatedReadings(readings(0)).repeatability).toBeCloseTo(16.9532, 4);
    expect(repeatedReadings(readings(6)).repeatability).toBeCloseTo(25.2743, 4);
    const both = replicateAgreement(readings(0).map((a, i) => ({ a, b: readings(6)[i] })));
    expect(repeatedReadings(readings(0)).repeatability).toBeCloseTo(both.repeatabilityA!, 9);
  });
});

describe('the first two children of Bland JM, Altman DG, BMJ 1996;313:744, table 1', () => {
  it('SD as printed beside each', () => {
    expect(repeatedReadings([[190, 220, 200, 200]]).withinSd).toBeCloseTo(12.58, 2);
    expect(repeatedReadings([[220, 200, 240, 230]]).withinSd).toBeCloseTo(17.08, 2);
  });
});

describe('Shrout PE, Fleiss JL 1979', () => {
  const found = repeatedReadings(SHROUT_FLEISS);

  it('mean squares, their ratio, and the correlation that follows from the two SDs', () => {
    const { meanSquares, single1 } = intraclass(SHROUT_FLEISS);
    expect(found.withinSd ** 2).toBeCloseTo(6.263889, 6);
    expect(found.f).toBeCloseTo(meanSquares.subjects / meanSquares.within, 9);
    expect(found.betweenSd! ** 2 / (found.betweenSd! ** 2 + found.withinSd ** 2)).toBeCloseTo(
      single1.value!,
      9,
    );
    expect(found.p).toBeGreaterThan(0.1); // F 1.79 with 5 and 18 degrees of freedom
    expect(found.p).toBeLessThan(0.2);
  });

  it('each judge against the mean of all: their means less the mean of all', () => {
    const grand = SHROUT_FLEISS.flat().reduce((a, b) => a + b, 0) / 24;
    for (const [j, { bias, biasCi }] of readingBiases(SHROUT_FLEISS).entries()) {
      const own = SHROUT_FLEISS.reduce((sum, row) => sum + row[j], 0) / SHROUT_FLEISS.length;
      expect(bias).toBeCloseTo(own - grand, 12);
      expect(biasCi![0]).toBeLessThan(bias);
      expect(biasCi![1]).toBeGreaterThan(bias);
    }
  });
});

it('two readings give Dahlberg’s error', () => {
  const { wright1, wright2 } = PEAK_FLOW;
  expect(repeatedReadings(wright1.map((value, i) => [value, wright2[i]])).withinSd).toBeCloseTo(
    dahlbergError(wright1, wright2),
    12,
  );
});

it('the order of readings and a shift of each subject change nothing; subjects read once are passed over', () => {
  const numbers = fc.array(fc.double({ min: -50, max: 50, noNaN: true }), { minLength: 2, maxLength: 5 });
  fc.assert(
    fc.property(fc.array(numbers, { minLength: 1, maxLength: 8 }), (subjects) => {
      const plain = repeatedReadings(subjects).withinSd;
      const other = subjects.map((values, i) => values.map((value) => value + 10 * i).reverse());
      expect(repeatedReadings([...other, [3]]).withinSd).toBeCloseTo(plain, 8);
    }),
    { seed: 12, numRuns: 100 },
  );
});

it('the interval of the SD holds the true one in 95 of 100 studies', () => {
  const random = makeRandom(5);
  const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  let held = 0;
  for (let study = 0; study < 2000; study++) {
    const rows = Array.from({ length: 10 }, (_, i) => Array.from({ length: 3 }, () => i + 0.2 * normal()));
    const [low, high] = repeatedReadings(rows).withinSdCi!;
    if (low <= 0.2 && 0.2 <= high) held++;
  }
  expect(held / 2000).toBeGreaterThan(0.935);
  expect(held / 2000).toBeLessThan(0.965);
});

it('readings that never differ have no error and no interval; nothing read twice is refused', async () => {
  expect(
    repeatedReadings([
      [5, 5, 5],
      [6, 6],
    ]),
  ).toMatchObject({ withinSd: 0, withinSdCi: null, f: null, p: null });
  expect((await refusalOf(() => repeatedReadings([[1], [2]]))).code).toBe('too-few-pairs');
  expect((await refusalOf(() => repeatedReadings([[1, Number.NaN]]))).code).toBe('number-invalid');
  expect((await refusalOf(() => readingBiases([[1]]))).code).toBe('too-few-pairs');
});
