import { describe, expect, it } from 'vitest';
import { bothReasons } from '../../../src/core/reduction/bothReasons.ts';
import { AS_PLANNED, cuttingWay, cuttingWays } from '../../../src/core/reduction/cuttingChoice.ts';
import { habitFromPrior } from '../../../src/core/reduction/cuttingHabit.ts';
import { CUTTING_PRIORS, cuttingPrior } from '../../../src/core/reduction/cuttingPriors.ts';
import { habitForecast } from '../../../src/core/reduction/habitForecast.ts';
import type { BothPlans } from '../../../src/core/reduction/planBothArches.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { remeasuredForecast } from '../../../src/core/reduction/remeasuredForecast.ts';
import type { RatioBand } from '../../../src/core/reduction/twoArchModel.ts';
import { makeRequest } from '../../support/reductionRequests.ts';

const band = { kind: 'anterior' as const, lowPercent: 76, highPercent: 78, upperSumMm: 46, lowerSumMm: 37 };
const plan = planReduction(makeRequest());
const plans = (change: Partial<BothPlans>): BothPlans => ({
  upper: plan,
  lower: plan,
  outsideBandsMm: 0,
  sharesMoved: false,
  extraMm: { upper: 0, lower: 0 },
  cost: null,
  ...change,
});

describe('both arches in words', () => {
  it('inside the band, with or without tenths moved or added', () => {
    const text = (change: Partial<BothPlans>) => bothReasons(plans(change), [band]).join(' ');
    expect(text({})).toBe(
      'After the plan the anterior ratio lies in the band. No tenth had to be moved for it.',
    );
    expect(text({ sharesMoved: true })).toMatch(/moved between contacts for it; none were added\.$/);
    expect(text({ sharesMoved: true, extraMm: { upper: 0.1, lower: 0.2 } })).toMatch(
      /0\.1 mm in the upper and 0\.2 mm in the lower are taken for it beyond the need\..*held back/,
    );
    expect(bothReasons(plans({}), [])).toEqual([]);
  });

  it('outside it, what the band asks for that the account does not need', () => {
    const cost = { extraMm: { upper: 0, lower: 0.3 }, outsideBandsMm: 0 };
    expect(bothReasons(plans({ outsideBandsMm: 0.28, cost }), [band])).toEqual([
      'After the plan the anterior ratio lies 0.28 mm of lower arch outside the band.',
      'The band asks for 0.3 mm more in the lower, which the account does not need.',
    ]);
    const given = { extraMm: { upper: 0, lower: 0.1 }, cost: { ...cost, outsideBandsMm: 0.05 } };
    expect(bothReasons(plans({ outsideBandsMm: 0.15, ...given }), [band]).join(' ')).toMatch(
      /0\.1 mm in the lower is taken.*asks for 0\.2 mm more in the lower.*do not allow.*stay 0\.05 mm outside/,
    );
    const none = { extraMm: { upper: 0, lower: 0 }, outsideBandsMm: 0.4 };
    expect(bothReasons(plans({ outsideBandsMm: 0.4, cost: none }), [band, band])[1]).toBe(
      'The limits allow nothing that would bring it nearer.',
    );
  });
});

describe('both arches in words: the figures', () => {
  const none = { upper: 0, lower: 0 };
  const said = (change: Partial<BothPlans>, bands: readonly RatioBand[] = [band]) =>
    bothReasons(plans(change), bands);

  it('names each arch with what is its own, in the decimals of the step', () => {
    const taken = (upper: number, lower: number) => said({ extraMm: { upper, lower } })[0];
    const inside = 'After the plan the anterior ratio lies in the band.';
    expect(taken(0.1, 0)).toBe(`${inside} 0.1 mm in the upper is taken for it beyond the need.`);
    expect(taken(0, 0.15)).toBe(`${inside} 0.15 mm in the lower is taken for it beyond the need.`);
    expect(taken(0.3, 0.05)).toBe(
      `${inside} 0.3 mm in the upper and 0.05 mm in the lower are taken for it beyond the need.`,
    );
    expect(said({ extraMm: none })).toHaveLength(1); // and nothing is held back
    expect(said({ extraMm: { upper: 0.1, lower: 0 } })[1]).toMatch(/held back until a re-measurement/);
  });

  it('what more is asked is what is asked in all less what is given, of each arch, and never less than nothing', () => {
    const asks = (given: typeof none, inAll: typeof none) =>
      said({ outsideBandsMm: 0.4, extraMm: given, cost: { extraMm: inAll, outsideBandsMm: 0 } });
    expect(asks(none, { upper: 0.1, lower: 0.2 })).toEqual([
      'After the plan the anterior ratio lies 0.40 mm of lower arch outside the band.',
      'The band asks for 0.1 mm more in the upper and 0.2 mm more in the lower, which the account does not need.',
    ]);
    expect(asks({ upper: 0.2, lower: 0 }, { upper: 0, lower: 0.3 })).toEqual([
      'After the plan the anterior ratio lies 0.40 mm of lower arch outside the band.',
      '0.2 mm in the upper is taken for it beyond the need.',
      'The band asks for 0.3 mm more in the lower, which the account does not need and you do not allow.',
      expect.stringMatching(/held back/),
    ]);
    expect(asks({ upper: 0.1, lower: 0.2 }, { upper: 0.4, lower: 0.2 }).slice(1, 3)).toEqual([
      '0.1 mm in the upper and 0.2 mm in the lower are taken for it beyond the need.',
      'The band asks for 0.3 mm more in the upper, which the account does not need and you do not allow.',
    ]);
    // All that is asked is given: nothing more would help.
    expect(asks({ upper: 0, lower: 0.3 }, { upper: 0, lower: 0.3 })[2]).toBe(
      'The limits allow nothing that would bring it nearer.',
    );
  });

  it('two ratios are spoken of as two', () => {
    const two = [band, { ...band, kind: 'overall' as const }];
    expect(said({}, two)).toEqual([
      'After the plan the ratios lie in the band. No tenth had to be moved for it.',
    ]);
    const cost = { extraMm: { upper: 0, lower: 0.3 }, outsideBandsMm: 0.07 };
    expect(said({ outsideBandsMm: 0.28, cost }, two)).toEqual([
      'After the plan the ratios lie 0.28 mm of lower arch outside the band.',
      'The band asks for 0.3 mm more in the lower, which the account does not need.',
      'Even then they would stay 0.07 mm outside.',
    ]);
  });
});

describe('ways of cutting', () => {
  const own = {
    habit: { upper: AS_PLANNED, lower: habitFromPrior(cuttingPrior('lagana-2021')!, 'lower') },
    cuts: 7,
  };

  it('as planned, the own record where there is one, and every study', () => {
    expect(cuttingWays('lower', null).map(({ id }) => id)).toEqual([
      'as-planned',
      ...CUTTING_PRIORS.map(({ id }) => id),
    ]);
    expect(cuttingWays('lower', own)[1]).toMatchObject({ id: 'own-record', habit: own.habit.lower });
    expect(cuttingWay('own-record', 'lower', null).id).toBe('as-planned');
    expect(cuttingWay('de-felice-2020', 'lower', own).habit.ratio).toBeCloseTo(0.3702, 9);
    expect(cuttingWay(undefined, 'upper', own).habit).toBe(AS_PLANNED);
  });

  it('cut exactly as planned, the forecast is the plan’s own, and the need alone spreads it', () => {
    const request = makeRequest({ neededMm: 1.27, neededSdMm: 0.3 });
    const asked = planReduction(request);
    const { residualMeanMm, residualSdMm, chances } = habitForecast(asked, request, () => AS_PLANNED);
    const said = asked.forecast;
    expect(residualMeanMm).toBeCloseTo(said.residualMeanMm, 9);
    expect(residualSdMm).toBeCloseTo(0.3, 9);
    expect(chances[0].chanceGap).toBeCloseTo(said.chanceGap, 4);
    const [never] = remeasuredForecast(asked, request, { habit: AS_PLANNED, remeasureSdMm: 0.3, most: 1 });
    expect(never.residualSdMm).toBeCloseTo(0.3, 6);
    expect(never.chances[0].chanceJam).toBeCloseTo(said.chanceJam, 4);
  });
});
