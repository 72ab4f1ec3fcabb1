import { planReduction } from '../src/core/reduction/planReduction.ts';
import type { PlannerWork } from './contract.ts';
import { outcomeOf } from './outcomeOf.ts';

/** The planner worker's work. */
export const plannerWork: PlannerWork = {
  plan: (request) => outcomeOf(() => planReduction(request)),
};
