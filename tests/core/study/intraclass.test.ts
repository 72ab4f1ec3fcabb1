import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { intraclass } from '../../../src/core/study/intraclass.ts';
import { PEAK_FLOW, SHROUT_FLEISS } from '../../support/publishedPairs.ts';
import { makeRandom } from '../../support/random.ts';
import { refusalOf } from '../../support/refusal.ts';

describe('Shrout PE, Fleiss JL, Psychol Bull 1979;86:420–428', () => {
  const found = intraclass(SHROUT_FLEISS);

  it('mean squares', () => {
    expect(found.meanSquares.subjects).toBeCloseTo(11.241667, 6);
    expect(found.meanSquares.within).toBeCloseTo(6.263889, 6);
    expect(found.meanSquares.raters).toBeCloseTo(32.486111, 6);
    expect(found.meanSquares.error).toBeCloseTo(1.019444, 6);
  });

  it.each([
    ['single1', 0.17, 0.165742],
    ['single2', 0.29, 0.289764],
    ['single3', 0.71, 0.714841],
    ['average1', 0.44, 0.442797],
    ['average2', 0.62, 0.620051],
    ['average3', 0.91, 0.909316],
  ] as const)('%s: printed %d', (form, printed, exact) => {
    expect(found[form].value!.toFixed(2)).toBe(printed.toFixed(2));
    expect(found[form].value).toBeCloseTo(exact, 6);
  });

  it.each([
    ['single1', -0.132932, 0.72256],
    ['single2', 0.018787, 0.761084],
    ['single3', 0.342465, 0.945858],
  ] as const)('%s: 95 %% interval', (form, low, high) => {
    expect(found[form].ci![0]).toBeCloseTo(low, 6);
    expect(found[form].ci![1]).toBeCloseTo(high, 6);
  });

  it('an average’s interval is the single one’s stepped up for four raters (Spearman–Brown)', () => {
    for (const [single, average] of [
      ['single1', 'average1'],
      ['single2', 'average2'],
      ['single3', 'average3'],
    ] as const)
      found[single].ci!.forEach((end, i) => {
        expect(found[average].ci![i]).toBeCloseTo((4 * end) / (1 + 3 * end), 10);
      });
  });
});

describe('peak flow (Bland JM, Altman DG 1986)', () => {
  const { wright1, wright2, mini1 } = PEAK_FLOW;

  it('two meters, and one meter twice', () => {
    const meters = intraclass(wright1.map((value, i) => [value, mini1[i]]));
    expect(meters.single1.value).toBeCloseTo(0.946015, 6);
    expect(meters.single2.value).toBeCloseTo(0.945928, 6);
    expect(meters.single3.value).toBeCloseTo(0.942913, 6);
    const repeats = intraclass(wright1.map((value, i) => [value, wright2[i]]));
    expect(repeats.single1.value).toBeCloseTo(0.983165, 6);
    expect(repeats.single1.ci![0]).toBeCloseTo(0.955239, 6);
    expect(repeats.single1.ci![1]).toBeCloseTo(0.993818, 6);
    expect(repeats.single2.value).toBeCloseTo(0.983164, 6);
    expect(repeats.single3.value).toBeCloseTo(0.983046, 6);
  });
});

describe('laws', () => {
  const table = fc
    .tuple(fc.integer({ min: 3, max: 12 }), fc.integer({ min: 2, max: 4 }), fc.integer())
    .map(([n, k, seed]) => {
      const random = makeRandom(seed);
      return Array.from({ length: n }, (_, i) => Array.from({ length: k }, () => i + 4 * random()));
    });
  const forms = ['single1', 'single2', 'single3', 'average1', 'average2', 'average3'] as const;

  it('the same whatever unit, origin, order of subjects and order of raters', () => {
    fc.assert(
      fc.property(table, (rows) => {
        const before = intraclass(rows);
        const after = intraclass(rows.map((row) => row.map((x) => 25.4 * x - 7).reverse()).reverse());
        for (const form of forms) {
          expect(after[form].value).toBeCloseTo(before[form].value!, 9);
          before[form].ci?.forEach((end, i) => {
            expect(after[form].ci![i]).toBeCloseTo(end, 6);
          });
        }
      }),
      { seed: 1, numRuns: 60 },
    );
  });

  it('one rater’s shift lowers agreement and leaves consistency', () => {
    const rows = [1, 2, 4, 7, 9].map((x) => [x, x + 0.1 * Math.sin(x)]);
    const shifted = rows.map(([a, b]) => [a, b + 3]);
    expect(intraclass(shifted).single3.value).toBeCloseTo(intraclass(rows).single3.value!, 10);
    expect(intraclass(shifted).single2.value!).toBeLessThan(intraclass(rows).single2.value! - 0.1);
  });

  it('intervals of single forms hold the truth in about 95 of 100 simulated studies', () => {
    const random = makeRandom(11);
    const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const [truth, studies] = [0.8, 600]; // subject variance 4, error variance 1
    let [held1, held3] = [0, 0];
    for (let study = 0; study < studies; study++) {
      const rows = Array.from({ length: 20 }, () => {
        const subject = 2 * normal();
        return [subject + normal(), subject + normal(), subject + normal()];
      });
      const { single1, single3 } = intraclass(rows);
      if (single1.ci![0] <= truth && truth <= single1.ci![1]) held1++;
      if (single3.ci![0] <= truth && truth <= single3.ci![1]) held3++;
    }
    // Binomial SD of a share of 0.95 among 600 is 0.009: four of them either way.
    expect(Math.abs(held1 / studies - 0.95)).toBeLessThan(0.036);
    expect(Math.abs(held3 / studies - 0.95)).toBeLessThan(0.036);
  });
});

describe('what cannot be had', () => {
  it('perfect agreement is 1 without an interval', () => {
    const { single1, single2, single3, average3 } = intraclass([1, 2, 5].map((x) => [x, x]));
    for (const one of [single1, single2, single3, average3]) expect(one).toEqual({ value: 1, ci: null });
  });

  it('an average of subjects that do not differ is null, not minus infinity', () => {
    const { average1, average3 } = intraclass([
      [1, 3],
      [3, 1],
      [2, 2],
    ]);
    expect(average1).toEqual({ value: null, ci: null });
    expect(average3).toEqual({ value: null, ci: null });
  });

  it.each([
    [[[1, 2]], 'too-few-pairs'],
    [[[1], [2]], 'too-few-pairs'],
    [[], 'too-few-pairs'],
    [
      [
        [3, 3],
        [3, 3],
      ],
      'no-variation',
    ],
    [
      [
        [1, Number.NaN],
        [2, 3],
      ],
      'number-invalid',
    ],
    [
      [
        [1, 2],
        [Number.POSITIVE_INFINITY, 3],
      ],
      'number-invalid',
    ],
  ] as const)('%j is refused', async (rows, code) => {
    expect((await refusalOf(() => intraclass(rows))).code).toBe(code);
  });
});
