import { describe, expect, it } from 'vitest';
import { normalQuantile } from '../../../src/core/base/normalDistribution.ts';
import { clampedNormal } from '../../../src/core/reduction/clampedNormal.ts';
import { habitFromPrior, learnHabit, ratioSd, spreadMm } from '../../../src/core/reduction/cuttingHabit.ts';
import { cuttingPrior } from '../../../src/core/reduction/cuttingPriors.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { ReductionRequest } from '../../../src/core/reduction/ReductionPlan.ts';
import { type RemeasuredChoice, remeasuredForecast } from '../../../src/core/reduction/remeasuredForecast.ts';
import { seeded } from '../../support/markArches.ts';
import { contactsFor, makeContact, makeRequest } from '../../support/reductionRequests.ts';

const DRAWS = 40_000;

const request = (neededMm: number, neededSdMm: number): ReductionRequest =>
  makeRequest({
    neededMm,
    neededSdMm,
    visits: 4,
    contacts: contactsFor('lower', 6).map((teeth) => makeContact(teeth)),
  });

/** The same story draw by draw: measure, plan in whole steps, cut, measure again. */
function simulate(asked: ReductionRequest, choice: RemeasuredChoice, rounds: number, seed: number) {
  const { normal } = seeded(seed);
  const plan = planReduction(asked);
  const spread = spreadMm(choice.habit);
  const margin = normalQuantile(1 - asked.overshootRisk) * choice.remeasureSdMm;
  const capacity = asked.contacts.length * 0.5;
  const out = { sum: 0, squares: 0, cut: 0, gap: [0, 0], jam: [0, 0] };
  for (let draw = 0; draw < DRAWS; draw++) {
    const ratio = Math.max(0, choice.habit.ratio + ratioSd(choice.habit) * normal());
    let need = asked.neededMm + asked.neededSdMm * normal();
    let gone = 0;
    for (let round = 0; round <= rounds; round++) {
      const isLast = round === rounds;
      let amount: number;
      if (round === 0) amount = isLast ? plan.plannedMm : plan.commitMm;
      else {
        const commits = !isLast || choice.lastRound === 'commitment';
        const measured = need + choice.remeasureSdMm * normal() - (commits ? margin : 0);
        amount = Math.min(capacity - gone, Math.floor(Math.max(0, measured) / 0.1) * 0.1);
      }
      const cut = ratio * amount + Math.sqrt(spread * Math.max(0, amount)) * normal();
      need -= cut;
      gone += cut;
    }
    out.sum -= need;
    out.squares += need * need;
    out.cut += gone;
    for (const [i, t] of [0.1, 0.3].entries()) {
      if (-need > t) out.gap[i]++;
      if (need > t) out.jam[i]++;
    }
  }
  const mean = out.sum / DRAWS;
  return {
    mean,
    sd: Math.sqrt(out.squares / DRAWS - mean * mean),
    cut: out.cut / DRAWS,
    gap: out.gap.map((count) => count / DRAWS),
    jam: out.jam.map((count) => count / DRAWS),
  };
}

/** Needs of 1 to 3.5 mm, hands from the studies with up to 40 cuts on record. */
const cases = Array.from({ length: 10 }, (_, i) => {
  const { uniform } = seeded(300 + i);
  const prior = habitFromPrior(cuttingPrior(['rounded', 'lagana-2021', 'hariharan-2022'][i % 3])!, 'lower');
  const own = 0.4 + 0.6 * uniform();
  const records = Array.from({ length: 10 * (i % 5) }, () => ({
    plannedMm: 0.2,
    performedMm: 0.2 * own + 0.06 * (uniform() - 0.5),
  }));
  return {
    seed: 300 + i,
    asked: request(1 + 2.5 * uniform(), 0.1 + 0.3 * uniform()),
    choice: {
      habit: learnHabit(prior, records),
      remeasureSdMm: 0.1 + 0.2 * uniform(),
      most: 3,
      lastRound: i % 4 === 3 ? 'commitment' : 'all',
    } satisfies RemeasuredChoice,
  };
});

describe('forecast with re-measurements', () => {
  it.each(cases)('seed $seed: against 40,000 draws, 0 to 3 re-measurements', ({ seed, asked, choice }) => {
    const said = remeasuredForecast(planReduction(asked), asked, choice);
    for (const forecast of said) {
      const at = `${forecast.remeasurements} re-measurements`;
      const drawn = simulate(asked, choice, forecast.remeasurements, seed);
      expect(Math.abs(forecast.residualMeanMm - drawn.mean), at).toBeLessThan(0.02);
      expect(Math.abs(forecast.residualSdMm / drawn.sd - 1), at).toBeLessThan(0.05);
      expect(Math.abs(forecast.cutInAllMm - drawn.cut), at).toBeLessThan(0.02);
      for (const [i, chance] of forecast.chances.entries()) {
        expect(Math.abs(chance.chanceGap - drawn.gap[i]), `${at} gap`).toBeLessThan(0.02);
        expect(Math.abs(chance.chanceJam - drawn.jam[i]), `${at} jam`).toBeLessThan(0.02);
      }
    }
  });

  it('each re-measurement narrows what is left where half the plan is usually cut', () => {
    const asked = request(2.4, 0.3);
    const habit = habitFromPrior(cuttingPrior('rounded')!, 'lower');
    const said = remeasuredForecast(planReduction(asked), asked, { habit, remeasureSdMm: 0.25, most: 4 });
    expect(said.map(({ remeasurements }) => remeasurements)).toEqual([0, 1, 2, 3, 4]);
    for (const [i, next] of said.slice(1).entries()) {
      expect(Math.abs(next.residualMeanMm)).toBeLessThan(Math.abs(said[i].residualMeanMm));
      expect(next.chances[1].chanceJam).toBeLessThan(said[i].chances[1].chanceJam);
      expect(next.residualSdMm).toBeLessThan(said[i].residualSdMm);
    }
  });

  it('no risk accepted: nothing is committed; no need: nothing is cut', () => {
    const habit = habitFromPrior(cuttingPrior('rounded')!, 'lower');
    const choice: RemeasuredChoice = { habit, remeasureSdMm: 0.2, most: 2, lastRound: 'commitment' };
    const careful = { ...request(1, 0.2), overshootRisk: 0 };
    for (const { plannedInAllMm, remeasurements } of remeasuredForecast(
      planReduction(careful),
      careful,
      choice,
    ))
      expect(plannedInAllMm).toBeCloseTo(remeasurements === 0 ? 1 : 0, 12);
    const none = request(-2, 0.1);
    for (const { cutInAllMm } of remeasuredForecast(planReduction(none), none, choice))
      expect(cutInAllMm).toBeCloseTo(0, 9);
  });

  it.each([
    [0.3, 0.4, 1],
    [-0.2, 0.3, Number.POSITIVE_INFINITY],
    [1.2, 0.5, 0.8],
  ])('a normal value cut off at both ends: mean %d, SD %d, most %d, a million draws', (mean, sd, most) => {
    const { normal } = seeded(17);
    const n = 1_000_000;
    let [sum, squares, with0] = [0, 0, 0];
    for (let i = 0; i < n; i++) {
      const x = mean + sd * normal();
      const y = Math.min(most, Math.max(0, x));
      sum += y;
      squares += y * y;
      with0 += y * (x - mean);
    }
    const said = clampedNormal(mean, sd, most);
    expect(said.mean).toBeCloseTo(sum / n, 2);
    expect(said.variance).toBeCloseTo(squares / n - (sum / n) ** 2, 2);
    expect(said.inside).toBeCloseTo(with0 / n / sd ** 2, 2);
  });
});

it('nothing errs: the value itself, or the end it lies beyond', () => {
  expect(clampedNormal(0.3, 0, 1)).toEqual({ mean: 0.3, variance: 0, inside: 1 });
  expect(clampedNormal(-0.4, 0, 1)).toEqual({ mean: 0, variance: 0, inside: 0 });
  expect(clampedNormal(1.7, 0, 1)).toEqual({ mean: 1, variance: 0, inside: 0 });
  // At an end it is cut off on one side already.
  expect(clampedNormal(0, 0, 1)).toEqual({ mean: 0, variance: 0, inside: 0 });
  expect(clampedNormal(1, 0, 1)).toEqual({ mean: 1, variance: 0, inside: 0 });
});
