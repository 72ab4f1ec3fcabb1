import { describe, expect, it } from 'vitest';
import type { WidthPrediction } from '../../../src/core/space/Ledger.ts';
import {
  MOYERS_PERCENTILES,
  MOYERS_TABLE,
  moyersRangeMm,
  moyersSumMm,
} from '../../../src/core/space/moyersTable.ts';
import { ANTIMERE_SD_MM, predictedWidths } from '../../../src/core/space/predictedWidths.ts';
import type { ToothWidth } from '../../../src/core/space/toothSizeRatios.ts';

const incisors = (sumMm: number, sdMm = 0.1): readonly ToothWidth[] =>
  [42, 41, 31, 32].map((tooth) => ({ tooth, widthMm: sumMm / 4, sdMm }));
const rightLower = [43, 44, 45];
const moyers75: WidthPrediction = { method: 'moyers', percentile: 75 };

describe('Moyers', () => {
  // Rows of the probability table at 75 % (Moyers RE, Handbook of Orthodontics; two agreeing copies).
  it.each([
    [19.5, 20.6, 20.1],
    [22.0, 22.0, 21.6],
    [23.5, 22.9, 22.5],
    [25.0, 23.7, 23.4],
    [29.0, 25.9, 25.7],
  ])('incisors %d mm: upper %d, lower %d mm', (sum, upper, lower) => {
    expect(moyersSumMm(sum, 'upper', 75)!.sumMm).toBeCloseTo(upper, 10);
    expect(moyersSumMm(sum, 'lower', 75)!.sumMm).toBeCloseTo(lower, 10);
  });

  it('lies straight between its rows, also where a row is not printed', () => {
    expect(moyersSumMm(22.5, 'upper', 75)!.sumMm).toBeCloseTo(22.3, 10);
    expect(moyersSumMm(20.25, 'lower', 50)!.sumMm).toBeCloseTo(19.85, 10);
    expect(moyersSumMm(20.25, 'lower', 50)!.slope).toBeCloseTo(0.6, 10);
  });

  it('is refused outside the table, at every level', () => {
    for (const percentile of MOYERS_PERCENTILES) {
      const [low, high] = moyersRangeMm(percentile);
      expect(moyersSumMm(low - 0.01, 'lower', percentile)).toBeNull();
      expect(moyersSumMm(high + 0.01, 'lower', percentile)).toBeNull();
      expect(moyersSumMm(low, 'lower', percentile)).not.toBeNull();
      expect(moyersSumMm(high, 'lower', percentile)).not.toBeNull();
    }
    const found = predictedWidths(rightLower, 'lower', moyers75, incisors(18.9));
    expect(found).toMatchObject({
      missing: expect.stringContaining('outside the table’s 19.5 to 29.0 mm at 75 %'),
    });
  });

  it('a sum just outside is said with the digits that tell', () => {
    const found = predictedWidths(rightLower, 'lower', moyers75, incisors(19.46));
    expect(found).toMatchObject({ missing: expect.stringContaining('sum to 19.46 mm, outside') });
  });

  it('grows with the incisors and with the percentile, in both jaws', () => {
    for (const column of [1, 2] as const) {
      for (const percentile of MOYERS_PERCENTILES) {
        const rows = MOYERS_TABLE[percentile];
        for (let i = 1; i < rows.length; i++) expect(rows[i][column]).toBeGreaterThan(rows[i - 1][column]);
      }
      for (let sum = 19.5; sum <= 25; sum += 0.25) {
        const jaw = column === 1 ? 'upper' : 'lower';
        const levels = MOYERS_PERCENTILES.map((percentile) => moyersSumMm(sum, jaw, percentile)!.sumMm);
        for (let i = 1; i < levels.length; i++) expect(levels[i]).toBeGreaterThan(levels[i - 1]);
      }
    }
  });

  it('lies between its levels for any percentile, as the printed 65 and 25 % lie between their neighbours', () => {
    for (const jaw of ['upper', 'lower'] as const)
      for (let sum = 19.5; sum <= 25; sum += 0.5) {
        const at = (percentile: number) => moyersSumMm(sum, jaw, percentile)!.sumMm;
        // The quantiles of the normal distribution: 0.3853 at 65 %, 0.6745 at 75 %; table printed to 0.1 mm.
        expect(Math.abs(at(50) + (0.3853 / 0.6745) * (at(75) - at(50)) - at(65))).toBeLessThan(0.11);
        expect(at(70)).toBeGreaterThan(at(65));
        expect(at(70)).toBeLessThan(at(75));
        expect(at(64.999)).toBeCloseTo(at(65), 3);
      }
    expect(moyersSumMm(22, 'lower', 4.9)).toBeNull();
    expect(moyersSumMm(22, 'lower', 95.1)).toBeNull();
    expect(moyersSumMm(27, 'lower', 70)).toBeNull(); // above 25 mm only 75 % is printed
  });

  it('between two levels the quantile decides, and only what both levels print is covered', () => {
    // Incisors 22, lower: 21.6 at 75 %, 22.6 at 95 %; normal quantiles 0.67449 (75 %), 1.03643 (85 %), 1.64485 (95 %).
    const share = (1.03643 - 0.67449) / (1.64485 - 0.67449);
    expect(moyersSumMm(22, 'lower', 85)!.sumMm).toBeCloseTo(21.6 + share, 5);
    expect(moyersRangeMm(75)).toEqual([19.5, 29]);
    expect(moyersRangeMm(70)).toEqual([19.5, 25]); // above 25 mm only 75 % is printed
    const [low, high] = moyersRangeMm(4);
    expect(low).toBeGreaterThan(high); // no level below 5 %: covers nothing
  });

  it('has its SD from the 5 and 95 % levels, in agreement with the 25 and 75 % ones', () => {
    const found = predictedWidths(rightLower, 'lower', moyers75, incisors(22));
    if ('missing' in found) throw new Error(found.missing);
    expect(found.sumMm).toBeCloseTo(21.6, 10);
    expect(found.ownSdMm).toBeCloseTo((22.6 - 19.2) / (2 * 1.6449), 3);
    expect(Math.abs(found.ownSdMm - (21.6 - 20.2) / (2 * 0.6745))).toBeLessThan(0.1);
  });
});

describe('regressions', () => {
  // Tanaka MM, Johnston LE 1974: half the lower incisors + 10.5 (lower) or 11.0 (upper). Head Face Med 2015;11:8 and
  // Philip NI et al. 2010: the equations of their abstracts.
  it.each([
    ['tanaka-johnston', 'lower', 23, 22],
    ['tanaka-johnston', 'upper', 23, 22.5],
    ['philip-2010-men', 'upper', 23, 7.15 + 0.67 * 23],
    ['philip-2010-women', 'lower', 23, 6.15 + 0.67 * 23],
    ['spain-2015-women', 'upper', 23, 12.06 + 0.43 * 23],
  ] as const)('%s, %s, incisors %d mm: %d mm', (id, jaw, sum, expected) => {
    const teeth = jaw === 'lower' ? rightLower : [13, 14, 15];
    const found = predictedWidths(teeth, jaw, { method: 'regression', id }, incisors(sum));
    expect(found).toMatchObject({ sumMm: expect.closeTo(expected, 10) });
  });

  // Standard errors of estimate of Tanaka & Johnston 1974, from memory: 0.86 upper, 0.85 mm lower.
  it.each([
    ['upper', [13, 14, 15], 0.86],
    ['lower', [43, 44, 45], 0.85],
  ] as const)('%s: the standard error of that jaw', (jaw, teeth, sdMm) => {
    const way = { method: 'regression', id: 'tanaka-johnston' } as const;
    expect(predictedWidths(teeth, jaw, way, incisors(23))).toMatchObject({ ownSdMm: sdMm });
  });

  it('a tooth missing for good whose width was entered is known, and taken off', () => {
    const known = [...incisors(23), { tooth: 45, widthMm: 7.4, sdMm: 0.2 }];
    const way = { method: 'regression', id: 'tanaka-johnston' } as const;
    expect(predictedWidths([43, 44], 'lower', way, known, [45])).toMatchObject({
      sumMm: expect.closeTo(22 - 7.4, 10),
    });
  });

  it('of a group partly erupted the rest is the sum less what is measured', () => {
    const known = [...incisors(23), { tooth: 44, widthMm: 7.1, sdMm: 0.1 }];
    const found = predictedWidths([43, 45], 'lower', { method: 'regression', id: 'tanaka-johnston' }, known);
    if ('missing' in found) throw new Error(found.missing);
    expect(found.sumMm).toBeCloseTo(22 - 7.1, 10);
    expect(found.slopes).toContainEqual({ tooth: 44, slope: -1 });
    expect(found.slopes).toContainEqual({ tooth: 41, slope: 0.5 });
  });
});

describe('what is missing', () => {
  const missingOf = (...input: Parameters<typeof predictedWidths>) => {
    const found = predictedWidths(...input);
    return 'missing' in found ? found.missing : null;
  };
  it('says so instead of guessing', () => {
    expect(missingOf(rightLower, 'lower', null, incisors(23))).toMatch(/enter it or choose a prediction/);
    expect(missingOf(rightLower, 'lower', moyers75, incisors(23).slice(1))).toMatch(
      /^width of 42 \(lower incisors/,
    );
    expect(missingOf([42], 'lower', moyers75, incisors(23))).toMatch(/canines and premolars only/);
    expect(missingOf([46], 'lower', moyers75, incisors(23))).toMatch(
      /^width of 46 .*canines and premolars only/,
    );
    expect(missingOf([43, 44], 'lower', moyers75, incisors(23), [45])).toMatch(/45 is absent/);
    expect(missingOf(rightLower, 'lower', { method: 'regression', id: 'x' }, incisors(23))).toMatch(
      /no known prediction/,
    );
    expect(missingOf([43], 'lower', { method: 'antimere' }, [])).toMatch(
      /33 on the other side is not measured/,
    );
  });
});

describe('antimere', () => {
  it('two teeth err apart from each other', () => {
    const known = [33, 34].map((tooth) => ({ tooth, widthMm: 7, sdMm: 0.1 }));
    expect(predictedWidths([43, 44], 'lower', { method: 'antimere' }, known)).toMatchObject({
      sumMm: 14,
      ownSdMm: expect.closeTo(Math.hypot(ANTIMERE_SD_MM, ANTIMERE_SD_MM), 12),
    });
  });

  it.each([
    [13, 23],
    [24, 14],
    [35, 45],
    [42, 32],
  ])('%d is taken as wide as %d', (tooth, fellow) => {
    const jaw = tooth < 30 ? 'upper' : 'lower';
    const found = predictedWidths([tooth], jaw, { method: 'antimere' }, [
      { tooth: fellow, widthMm: 7.3, sdMm: 0.1 },
    ]);
    expect(found).toMatchObject({
      sumMm: 7.3,
      ownSdMm: ANTIMERE_SD_MM,
      slopes: [{ tooth: fellow, slope: 1 }],
    });
  });
});
