import { beforeAll, describe, expect, it } from 'vitest';
import {
  CUTTERS,
  coverage,
  type EndingRates,
  endingRates,
  forecastRates,
  patients,
  type Treated,
  treat,
  truthAfter,
} from '../support/pipelineExperiment.ts';

// The experiment of pipeline.ts in small: 20 arches, seeds 40001–40020, two kinds of hand, cut at once or re-measured once.
describe('from crowded arch to the space left, seeds 40001–40020', () => {
  const [half, whole] = CUTTERS;
  const byHalf: Treated[] = [];
  const byWhole: Treated[] = [];
  let halfRates: readonly EndingRates[] = [];
  let wholeRates: readonly EndingRates[] = [];

  beforeAll(() => {
    for (const patient of patients(20)) {
      const untouched = truthAfter(patient, 0);
      byHalf.push(treat(patient, half, 1, untouched));
      byWhole.push(treat(patient, whole, 1, untouched));
    }
    halfRates = endingRates(byHalf);
    wholeRates = endingRates(byWhole);
  }, 400_000);

  it('the stated interval of the space difference holds the truth at least as often as it says', () => {
    const { meanErrorMm, rmsErrorMm, within } = coverage(byHalf);
    expect(Math.abs(meanErrorMm)).toBeLessThan(0.3);
    expect(rmsErrorMm).toBeLessThan(0.6);
    // 20 arches: 95 % that turn out as 17 or fewer would happen once in a hundred.
    expect(within.find(({ level }) => level === 0.95)!.share).toBeGreaterThanOrEqual(0.9);
  });

  it('a hand that cuts half: one re-measurement leaves less jammed, and opens at most one gap more over 0.3 mm', () => {
    expect(halfRates[0].meanMm).toBeLessThan(-0.5);
    expect(halfRates[1].meanMm).toBeGreaterThan(halfRates[0].meanMm);
    expect(halfRates[1].sdMm).toBeLessThan(halfRates[0].sdMm);
    expect(halfRates[1].gap[1]).toBeLessThanOrEqual(halfRates[0].gap[1] + 0.05);
  });

  it('a hand that cuts all: holding back and re-measuring narrows what is left', () => {
    expect(wholeRates[1].sdMm).toBeLessThan(wholeRates[0].sdMm);
    expect(wholeRates[1].gap[1]).toBeLessThanOrEqual(wholeRates[0].gap[1]);
  });

  it('the forecast says what then happens, as near as 20 arches and the account’s own mean error can tell', () => {
    for (const [treated, rates, said] of [
      [byHalf, halfRates, forecastRates(byHalf, half)],
      [byWhole, wholeRates, forecastRates(byWhole, whole)],
    ] as const)
      for (const [k, { meanMm, sdMm, gap, jam }] of rates.entries()) {
        const standardErrorMm = sdMm / Math.sqrt(treated.length);
        const off = Math.abs(coverage(treated).meanErrorMm);
        expect(Math.abs(meanMm - said[k].meanMm)).toBeLessThan(off + 2.5 * standardErrorMm);
        // One chance of a half over 20 arches has a standard error of 0.11.
        expect(Math.abs(gap[1] - said[k].gap[1])).toBeLessThan(0.28);
        expect(Math.abs(jam[1] - said[k].jam[1])).toBeLessThan(0.28);
      }
  });
});
