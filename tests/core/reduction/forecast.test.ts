import { describe, expect, it } from 'vitest';
import {
  CUT_AS_PLANNED,
  type CuttingBehaviour,
  forecastResidual,
  PUBLISHED_CUTTING,
  performedCut,
} from '../../../src/core/reduction/forecast.ts';
import { forecastPlan } from '../../../src/core/reduction/forecastPlan.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { seeded } from '../../support/markArches.ts';
import { makeRequest } from '../../support/reductionRequests.ts';

const DRAWS = 200_000;

/** The same story told draw by draw: true need, then each tooth cut with error and never below 0. */
function simulate(
  planned: readonly number[],
  behaviour: CuttingBehaviour,
  neededMm: number,
  neededSdMm: number,
  seed: number,
) {
  const { normal } = seeded(seed);
  let sum = 0;
  let squares = 0;
  let gap = 0;
  let jam = 0;
  for (let draw = 0; draw < DRAWS; draw++) {
    let cut = 0;
    for (const mm of planned)
      cut += Math.max(0, behaviour.performedRatio * mm + behaviour.sdPerToothMm * normal());
    const residual = cut - (neededMm + neededSdMm * normal());
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
    ['cut as planned', [0.3, 0.3, 0.4], CUT_AS_PLANNED, 1.03, 0.25, 11],
    ['cut as planned, sure of it', [0.3, 0.3, 0.4], CUT_AS_PLANNED, 1.03, 0.05, 12],
    ['published cutting', [0.2, 0.3, 0.4, 0.4, 0.3, 0.2], PUBLISHED_CUTTING, 1.9, 0.3, 13],
    ['published cutting, few teeth', [0.3, 0.3], PUBLISHED_CUTTING, 0.6, 0.2, 14],
  ] as const)(
    '%s: closed form against 200,000 draws',
    (_, planned, behaviour, neededMm, neededSdMm, seed) => {
      const drawn = simulate(planned, behaviour, neededMm, neededSdMm, seed);
      const closed = forecastResidual({ ...performedCut(planned, behaviour), neededMm, neededSdMm });
      // Five standard errors of the mean; SD within 1 %. The chances take the sum of cut-off normals as
      // normal, which costs up to half a per cent with few teeth.
      expect(Math.abs(closed.residualMeanMm - drawn.mean)).toBeLessThan((5 * drawn.sd) / Math.sqrt(DRAWS));
      expect(closed.residualSdMm / drawn.sd).toBeCloseTo(1, 2);
      expect(Math.abs(closed.chanceGap - drawn.gap)).toBeLessThan(0.006);
      expect(Math.abs(closed.chanceJam - drawn.jam)).toBeLessThan(0.006);
    },
  );

  it('a normal cut off at 0, exactly: E max(0, Z) = 1/√(2π), variance ½ − 1/(2π)', () => {
    const tiny = performedCut([1e-12], { ...PUBLISHED_CUTTING, sdPerToothMm: 1 });
    expect(tiny.cutMm).toBeCloseTo(1 / Math.sqrt(2 * Math.PI), 10);
    expect(tiny.cutSdMm).toBeCloseTo(Math.sqrt(0.5 - 1 / (2 * Math.PI)), 10);
  });

  it('untouched teeth add nothing, and no spread means certainty', () => {
    expect(performedCut([0, 0], PUBLISHED_CUTTING)).toEqual({ cutMm: 0, cutSdMm: 0 });
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

  it('a plan under other ways of cutting, and without what is held back', () => {
    const request = makeRequest({ neededMm: 1.24, neededSdMm: 0.2 });
    const plan = planReduction(request);
    expect(forecastPlan(plan, request)).toEqual(plan.forecast);
    // Commit: 1.24 − 1.6449 × 0.2 = 0.911, so 0.9 mm.
    const committed = forecastPlan(plan, request, { heldBack: 'left' });
    expect(committed.residualMeanMm).toBeCloseTo(0.9 - 1.24, 9);
    expect(committed.chanceGap).toBeLessThan(0.05);
    // Half is performed, floored at 0: the mean lies a little above half the plan.
    const usual = forecastPlan(plan, request, { behaviour: PUBLISHED_CUTTING });
    expect(usual.residualMeanMm).toBeGreaterThan(0.6 - 1.24);
    expect(usual.residualMeanMm).toBeLessThan(0.75 - 1.24);
    expect(usual.chanceJam).toBeGreaterThan(plan.forecast.chanceJam);
  });
});
