import { describe, expect, it } from 'vitest';
import { STUDY_CONVENTIONS } from '../../../src/core/study/Conventions.ts';
import { limitsOfAgreement } from '../../../src/core/study/limitsOfAgreement.ts';
import { linConcordance } from '../../../src/core/study/linConcordance.ts';
import { pairedT } from '../../../src/core/study/pairedTests.ts';
import { pearson } from '../../../src/core/study/pearson.ts';
import { replicateAgreement } from '../../../src/core/study/replicateAgreement.ts';
import { dahlbergError, technicalErrorPercent } from '../../../src/core/study/technicalError.ts';
import { CARDIAC_OUTPUT, PEAK_FLOW, pressure } from '../../support/publishedPairs.ts';

const { wright1, wright2, mini1, mini2 } = PEAK_FLOW;

describe('peak flow (Bland JM, Altman DG, Lancet 1986;i:307–310)', () => {
  const two = { ...STUDY_CONVENTIONS, limitsFactor: '2', limitsInterval: '1986' } as const;
  const published = limitsOfAgreement(wright1, mini1, two);

  it('bias, SD and limits as printed, which were reckoned from rounded figures', () => {
    expect(published.bias).toBeCloseTo(-2.1, 1);
    expect(published.sd).toBeCloseTo(38.8, 1);
    expect(published.biasSe).toBeCloseTo(9.4, 1);
    // Printed −79.7 and 75.5 are −2.1 ± 2 × 38.8; from unrounded figures −79.65 and 75.41.
    expect(published.limits[0]).toBeCloseTo(-79.648, 3);
    expect(published.limits[1]).toBeCloseTo(75.413, 3);
    expect(Math.abs(published.limits[0] + 79.7)).toBeLessThan(0.1);
    expect(Math.abs(published.limits[1] - 75.5)).toBeLessThan(0.1);
  });

  it('intervals as printed', () => {
    expect(published.biasCi[0]).toBeCloseTo(-22.0488, 4); // printed −22.0
    expect(published.biasCi[1]).toBeCloseTo(17.8135, 4); // printed 17.8
    expect(published.limitsSe).toBeCloseTo(16.2846, 4); // printed 16.3
    const printed = [-114.3, -45.1, 40.9, 110.1];
    published.limitsCi.flat().forEach((end, i) => {
      expect(Math.abs(end - printed[i])).toBeLessThan(0.17); // their SE and limits are rounded
    });
  });

  it('to the last digit under each convention', () => {
    const ours = limitsOfAgreement(wright1, mini1);
    expect(ours.bias).toBeCloseTo(-2.1176470588, 10);
    expect(ours.sd).toBeCloseTo(38.7651298736, 10);
    expect(ours.limits[0]).toBeCloseTo(-78.0973, 4);
    expect(ours.limits[1]).toBeCloseTo(73.862, 4);
    expect(ours.limitsSe).toBeCloseTo(16.3951, 4);
    const exact = limitsOfAgreement(wright1, mini1, { ...STUDY_CONVENTIONS, limitsFactor: 'exact' });
    expect(exact.limits[0]).toBeCloseTo(-78.0959054671, 9);
    expect(exact.limits[1]).toBeCloseTo(73.8606113495, 9);
  });

  it('correlation and concordance', () => {
    expect(pearson(wright1, mini1).value).toBeCloseTo(0.943279447, 9); // printed 0.94
    expect(linConcordance(wright1, mini1).value).toBeCloseTo(0.942742431, 9);
    const byMinus1 = { ...STUDY_CONVENTIONS, linDivisor: 'n-1' } as const;
    expect(linConcordance(wright1, mini1, byMinus1).value).toBeCloseTo(0.942752467, 9);
    expect(pairedT(wright1, mini1).t).toBeCloseTo(-2.1176470588 / 9.4019, 4);
  });

  it('repeatability of each meter', () => {
    const wright = limitsOfAgreement(wright1, wright2);
    expect(wright.bias).toBeCloseTo(4.9412, 4);
    expect(wright.sd).toBeCloseTo(21.724, 3);
    expect(dahlbergError(wright1, wright2)).toBeCloseTo(15.306669, 6);
    expect(technicalErrorPercent(wright1, wright2)).toBeCloseTo(3.417565, 6);
    // Twice the root mean square of the differences; printed 43.2 and 56.4 from rounded figures.
    expect(2 * Math.SQRT2 * dahlbergError(wright1, wright2)).toBeCloseTo(43.2938, 4);
    expect(limitsOfAgreement(mini1, mini2).bias).toBeCloseTo(-2.8824, 4);
    expect(limitsOfAgreement(mini1, mini2).sd).toBeCloseTo(28.8723, 4);
    expect(dahlbergError(mini1, mini2)).toBeCloseTo(19.910831, 6);
    expect(technicalErrorPercent(mini1, mini2)).toBeCloseTo(4.386498, 6);
    expect(2 * Math.SQRT2 * dahlbergError(mini1, mini2)).toBeCloseTo(56.3163, 4);
  });

  it('replicates: SD of means 33.2, corrected 37.7 as printed', () => {
    const both = replicateAgreement(
      wright1.map((value, i) => ({ a: [value, wright2[i]], b: [mini1[i], mini2[i]] })),
    );
    expect(Math.sqrt(both.varianceOfMeanDifferences)).toBeCloseTo(33.2, 1);
    expect(both.sd).toBeCloseTo(37.7, 1);
  });
});

describe('blood pressure (Bland JM, Altman DG, Stat Methods Med Res 1999;8:135–160)', () => {
  const [j1, r1, s1] = [0, 3, 6].map(pressure);

  it('observer against machine: printed bias −16.29, SD 19.61', () => {
    const found = limitsOfAgreement(j1, s1);
    expect(found.bias).toBeCloseTo(-16.29411765, 8);
    expect(found.sd).toBeCloseTo(19.61099274, 8);
    expect(found.limits[0]).toBeCloseTo(-54.7317, 4);
    expect(found.limits[1]).toBeCloseTo(22.1434, 4);
    expect(found.biasSe).toBeCloseTo(2.1271, 4);
    expect(found.biasCi[0]).toBeCloseTo(-20.5241, 4);
    expect(found.biasCi[1]).toBeCloseTo(-12.0641, 4);
    expect(linConcordance(j1, s1).value).toBeCloseTo(0.72589287, 8);
    expect(pearson(j1, s1).value).toBeCloseTo(0.81976977, 9);
  });

  it('observer against observer', () => {
    const found = limitsOfAgreement(j1, r1);
    expect(found.bias).toBeCloseTo(0.28235294, 8);
    expect(found.sd).toBeCloseTo(2.11914046, 8);
    expect(found.limits[0]).toBeCloseTo(-3.8712, 4);
    expect(found.limits[1]).toBeCloseTo(4.4359, 4);
    expect(linConcordance(j1, r1).value).toBeCloseTo(0.997676335, 9);
  });

  it('equal replicates: printed within-subject variances 37.408 and 83.141, corrected SD 20.95', () => {
    const subjects = (from: number) =>
      j1.map((_, i) => ({
        a: [0, 1, 2].map((k) => pressure(k)[i]),
        b: [0, 1, 2].map((k) => pressure(from + k)[i]),
      }));
    const found = replicateAgreement(subjects(6));
    expect(found.bias).toBeCloseTo(-15.6196, 4);
    expect(found.withinVarianceA).toBeCloseTo(37.40784314, 8);
    expect(found.withinVarianceB).toBeCloseTo(83.14117647, 8);
    expect(found.repeatabilityA).toBeCloseTo(16.9532, 3);
    expect(found.repeatabilityB).toBeCloseTo(25.2743, 3);
    expect(found.varianceOfMeanDifferences).toBeCloseTo(358.4925, 4);
    expect(found.varianceOfDifferences).toBeCloseTo(438.8585, 4);
    expect(found.sd).toBeCloseTo(20.9489, 4);
    expect(found.limits[0]).toBeCloseTo(-56.68, 3);
    expect(found.limits[1]).toBeCloseTo(25.44, 3);
    const observers = replicateAgreement(subjects(3));
    expect(observers.withinVarianceB).toBeCloseTo(37.98039216, 8);
    expect(observers.repeatabilityB).toBeCloseTo(17.0825, 3);
  });
});

describe('cardiac output, unequal replicates (Bland JM, Altman DG 1999, section 5)', () => {
  it('variances, corrected variance and limits', () => {
    const ids = [...new Set(CARDIAC_OUTPUT.map(([id]) => id))];
    const subjects = ids.map((id) => {
      const rows = CARDIAC_OUTPUT.filter((row) => row[0] === id);
      return { a: rows.map((row) => row[2]), b: rows.map((row) => row[3]) };
    });
    const found = replicateAgreement(subjects);
    expect(found.subjects).toBe(12);
    expect(found.withinVarianceA).toBeCloseTo(0.107227778, 9);
    expect(found.withinVarianceB).toBeCloseTo(0.137874063, 9);
    expect(found.bias).toBeCloseTo(0.709236111, 9);
    expect(found.varianceOfMeanDifferences).toBeCloseTo(0.912691154, 9);
    expect(found.varianceOfDifferences).toBeCloseTo(1.106389691, 9);
    expect(found.sd).toBeCloseTo(1.051850603, 9);
    expect(found.limits[0]).toBeCloseTo(-1.352391, 6);
    expect(found.limits[1]).toBeCloseTo(2.770863, 6);
  });
});
