import { describe, expect, it } from 'vitest';
import {
  type CuttingHabit,
  habitFromPrior,
  learnHabit,
  spreadMm,
} from '../../../src/core/reduction/cuttingHabit.ts';
import { cuttingPrior } from '../../../src/core/reduction/cuttingPriors.ts';
import { forecastResidual } from '../../../src/core/reduction/forecast.ts';
import { expectedCut, habitForecast } from '../../../src/core/reduction/habitForecast.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { seeded } from '../../support/markArches.ts';
import { randomRequest } from '../../support/reductionRequests.ts';

const DRAWS = 200_000;

/** A spread from the inverse gamma distribution (2·shape whole), then a ratio. */
function drawHand(habit: CuttingHabit, normal: () => number): { ratio: number; spread: number } {
  let chiSquare = 0;
  for (let i = 0; i < Math.round(2 * habit.shape); i++) chiSquare += normal() ** 2;
  const spread = (2 * habit.rateMm) / chiSquare;
  return { ratio: habit.ratio + Math.sqrt(spread / habit.weightMm) * normal(), spread };
}

describe('forecast with a habit', () => {
  // Random requests of 5 contacts, random records behind the habit; every contact is drawn on its own.
  it.each([1, 2, 3, 4, 5, 6, 7, 8])('seed %d: closed form against 200,000 draws', (seed) => {
    const { uniform, normal } = seeded(seed);
    const request = {
      ...randomRequest(seed + 40, 5),
      neededMm: 0.6 + uniform(),
      neededSdMm: 0.3 * uniform(),
    };
    const plan = planReduction(request);
    const prior = habitFromPrior(cuttingPrior(seed % 2 ? 'rounded' : 'lagana-2021')!, request.jaw);
    const records = Array.from({ length: seed % 4 }, () => ({
      plannedMm: 0.2,
      performedMm: 0.3 * uniform(),
    }));
    const habit = learnHabit(prior, records);
    const said = habitForecast(plan, request, () => habit);
    const amounts = plan.contacts.map((contact) => contact.totalMm).filter((mm) => mm > 0);
    const counts = { gap: [0, 0], jam: [0, 0] };
    let sum = 0;
    let squares = 0;
    for (let draw = 0; draw < DRAWS; draw++) {
      const { ratio, spread } = drawHand(habit, normal);
      let cut = 0;
      for (const mm of amounts) cut += ratio * mm + Math.sqrt(spread * mm) * normal();
      const residual = cut - request.neededMm - request.neededSdMm * normal();
      sum += residual;
      squares += residual * residual;
      for (const [i, t] of [0.1, 0.3].entries()) {
        if (residual > t) counts.gap[i]++;
        if (residual < -t) counts.jam[i]++;
      }
    }
    const mean = sum / DRAWS;
    const sd = Math.sqrt(squares / DRAWS - mean * mean);
    expect(Math.abs(said.residualMeanMm - mean)).toBeLessThan((5 * sd) / Math.sqrt(DRAWS) + 1e-9);
    expect(said.residualSdMm / sd).toBeCloseTo(1, 1);
    for (const [i, { thresholdMm, chanceGap, chanceJam }] of said.chances.entries()) {
      expect(thresholdMm).toBe([0.1, 0.3][i]);
      expect(Math.abs(chanceGap - counts.gap[i] / DRAWS)).toBeLessThan(0.005);
      expect(Math.abs(chanceJam - counts.jam[i] / DRAWS)).toBeLessThan(0.005);
    }
  });

  it('splitting cuts changes nothing; a sure hand leaves the measuring error alone', () => {
    const habit = habitFromPrior(cuttingPrior('rounded')!, 'lower');
    expect(expectedCut(habit, 0.6).meanMm).toBeCloseTo(0.3, 12);
    // Var = spread · P · (1 + P ÷ weight), spread 0.15² ÷ 0.3.
    expect(expectedCut(habit, 0.6).sdMm ** 2).toBeCloseTo(0.075 * 0.6 * (1 + 0.6 / habit.weightMm), 12);
    const request = { ...randomRequest(41, 5), neededMm: 0.9, neededSdMm: 0.2 };
    const plan = planReduction(request);
    const sure: CuttingHabit = { ratio: 1, weightMm: 1e9, shape: 1e6, rateMm: 1e-9 };
    const said = habitForecast(plan, request, () => sure);
    const plain = forecastResidual({
      cutMm: plan.plannedMm,
      cutSdMm: 0,
      neededMm: 0.9,
      neededSdMm: 0.2,
    });
    expect(said.residualMeanMm).toBeCloseTo(plain.residualMeanMm, 9);
    expect(said.chances[0].chanceGap).toBeCloseTo(plain.chanceGap, 5);
    expect(said.chances[0].chanceJam).toBeCloseTo(plain.chanceJam, 5);
    expect(said.chances[1].chanceGap).toBeLessThan(said.chances[0].chanceGap);
    expect(spreadMm(sure)).toBeLessThan(1e-12);
    // Two cells with a ratio each are less sure alike than one ratio for both.
    const halves = [habit, { ...habit }];
    const apart = habitForecast(plan, request, (teeth) => halves[teeth[0] % 10 > 2 ? 0 : 1]);
    const together = habitForecast(plan, request, () => habit);
    expect(apart.cutSdMm).toBeLessThan(together.cutSdMm);
    expect(apart.cutMeanMm).toBeCloseTo(together.cutMeanMm, 12);
  });
});
