import { CUT_AS_PLANNED, type CuttingBehaviour, forecastResidual, performedCut } from './forecast.ts';
import type { PlanForecast, ReductionPlan, ReductionRequest } from './ReductionPlan.ts';
import { shareSurfaces } from './shareSurfaces.ts';
import { takenByTooth } from './widthsAfterPlan.ts';

export interface ForecastChoice {
  readonly behaviour?: CuttingBehaviour; // CUT_AS_PLANNED by default
  readonly heldBack?: 'cut' | 'left'; // are held-back tenths taken without a re-measurement? 'cut' by default
  readonly thresholdMm?: number;
}

/**
 * Forecast of a plan under a way of cutting: how the space left at the end would be distributed. With the defaults it
 * is the plan's own forecast.
 *
 * Units:    mm; positive is a gap, negative jamming.
 * Shape:    `request` is the one the plan answers.
 */
export function forecastPlan(
  plan: ReductionPlan,
  request: ReductionRequest,
  choice: ForecastChoice = {},
): PlanForecast {
  const { behaviour = CUT_AS_PLANNED, heldBack = 'cut', thresholdMm } = choice;
  const carriedOut = heldBack === 'cut' ? plan : withoutHeldBack(plan, request);
  const cut = performedCut([...takenByTooth(carriedOut).values()], behaviour);
  const { neededMm, neededSdMm } = request;
  return forecastResidual({ ...cut, neededMm, neededSdMm, thresholdMm });
}

function withoutHeldBack(plan: ReductionPlan, request: ReductionRequest): ReductionPlan {
  const contacts = plan.contacts.map((contact, i) => {
    const totalMm = contact.totalMm - contact.heldBackMm;
    return { ...contact, totalMm, surfacesMm: shareSurfaces(totalMm, request.contacts[i].surfaceLimitsMm) };
  });
  return { ...plan, contacts };
}
