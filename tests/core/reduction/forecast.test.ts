import { describe, expect, it } from 'vitest';
import { AS_PLANNED } from '../../../src/core/reduction/cuttingChoice.ts';
import { forecastResidual } from '../../../src/core/reduction/forecast.ts';
import { habitForecast } from '../../../src/core/reduction/habitForecast.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { seeded } from '../../support/markArches.ts';
import { makeRequest } from '../../support/reductionRequests.ts';

const DRAWS = 200_000;

/** The same story told draw by draw: enamel taken, and the true need. */
function simulate(cutMm: number, cutSdMm: number, neededMm: number, neededSdMm: number, seed: number) {
  const { normal } = seeded(seed);
  let sum = 0;
  let squares = 0;
  let gap = 0;
  let jam = 0;
  for (let draw = 0; draw < DRAWS; draw++) {
    const residual = cutMm + cutSdMm * normal() - (neededMm + neededSdMm * normal());
    sum += residual;
    squares += residual * residual;
    if (residual > 0.1) gap++;
    if (residual < -0.1) jam++;
  }
  const mean = sum / DRAWS;
  return { mean, sd: Math.sqrt(squares / DRAWS - mean * mean), gap: gap / DRAWS, jam: jam / DRAWS };
}

describe('forecast', () => {
  it.each([
    ['cut exactly', 1, 0, 1.03, 0.25, 11],
    ['cut exactly, sure of the need', 1, 0, 1.03, 0.05, 12],
    ['half cut, with a spread', 0.9, 0.37, 1.9, 0.3, 13],
    ['little cut', 0.3, 0.21, 0.6, 0.2, 14],
  ] as const)('%s: closed form against 200,000 draws', (_, cutMm, cutSdMm, neededMm, neededSdMm, seed) => {
    const drawn = simulate(cutMm, cutSdMm, neededMm, neededSdMm, seed);
    const closed = forecastResidual({ cutMm, cutSdMm, neededMm, neededSdMm });
    // Five standard errors of the mean and of a chance near one half; SD within 1 %.
    expect(Math.abs(closed.residualMeanMm - drawn.mean)).toBeLessThan((5 * drawn.sd) / Math.sqrt(DRAWS));
    expect(closed.residualSdMm / drawn.sd).toBeCloseTo(1, 2);
    expect(Math.abs(closed.chanceGap - drawn.gap)).toBeLessThan(0.006);
    expect(Math.abs(closed.chanceJam - drawn.jam)).toBeLessThan(0.006);
  });

  it('the border of a gap that shows can be set: what lies on it does not show', () => {
    const at = (cutMm: number, thresholdMm: number) =>
      forecastResidual({ cutMm, cutSdMm: 0, neededMm: 1, neededSdMm: 0, thresholdMm });
    expect(at(1.2, 0.2)).toMatchObject({ chanceGap: 0, chanceJam: 0 });
    expect(at(1.2, 0.15)).toMatchObject({ chanceGap: 1, chanceJam: 0 });
    expect(at(0.8, 0.2)).toMatchObject({ chanceGap: 0, chanceJam: 0 });
    expect(at(0.8, 0.15)).toMatchObject({ chanceGap: 0, chanceJam: 1 });
    expect(at(1.01, 0)).toMatchObject({ chanceGap: 1, chanceJam: 0 });
    // With a spread: P(N(0.2, 0.1) > 0.3) = 1 − Φ(1) (normal table).
    const spread = forecastResidual({
      cutMm: 1.2,
      cutSdMm: 0.06,
      neededMm: 1,
      neededSdMm: 0.08,
      thresholdMm: 0.3,
    });
    expect(spread.residualSdMm).toBe(0.1);
    expect(spread.chanceGap).toBeCloseTo(0.158655, 6);
  });

  it('no spread means certainty', () => {
    const sure = (cutMm: number) => forecastResidual({ cutMm, cutSdMm: 0, neededMm: 1, neededSdMm: 0 });
    expect(sure(1)).toMatchObject({ residualMeanMm: 0, chanceGap: 0, chanceJam: 0 });
    expect(sure(1.1)).toMatchObject({ chanceGap: 0, chanceJam: 0 });
    expect(sure(1.2)).toMatchObject({ chanceGap: 1, chanceJam: 0 });
    expect(sure(0.8)).toMatchObject({ chanceGap: 0, chanceJam: 1 });
  });

  it('a plan carries the forecast of being cut exactly', () => {
    const plan = planReduction(makeRequest({ neededMm: 1.24, neededSdMm: 0.2 }));
    expect(plan.plannedMm).toBe(1.2);
    expect(plan.forecast).toEqual(
      forecastResidual({ cutMm: 1.2, cutSdMm: 0, neededMm: 1.24, neededSdMm: 0.2 }),
    );
    expect(plan.forecast.residualMeanMm).toBe(-0.04);
    expect(plan.forecast.residualSdMm).toBe(0.2);
    // P(N(−0.04, 0.2) > 0.1) = 1 − Φ(0.7) = 0.24196, P(< −0.1) = Φ(−0.3) = 0.38209 (normal table).
    expect(plan.forecast.chanceGap).toBeCloseTo(0.24196, 5);
    expect(plan.forecast.chanceJam).toBeCloseTo(0.38209, 5);
  });

  it('without what is held back, only the commitment is cut', () => {
    const request = makeRequest({ neededMm: 1.24, neededSdMm: 0.2 });
    const plan = planReduction(request);
    // Commit: 1.24 − 1.6449 × 0.2 = 0.911, so 0.9 mm.
    const committed = habitForecast(plan, request, () => AS_PLANNED, { heldBack: 'left' });
    expect(committed.residualMeanMm).toBeCloseTo(0.9 - 1.24, 9);
    expect(committed.chances[0].chanceGap).toBeLessThan(0.05);
  });
});
