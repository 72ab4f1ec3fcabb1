import type { MixedIntegerSolver } from '../src/core/reduction/mixedInteger.ts';
import { planBothArches } from '../src/core/reduction/planBothArches.ts';
import { planReduction } from '../src/core/reduction/planReduction.ts';
import type { PlannerWork } from './contract.ts';
import { outcomeOf } from './outcomeOf.ts';

/** The planner worker's work; `loadSolver` is called once, when both arches are first planned together. */
export function plannerWork(loadSolver: () => Promise<MixedIntegerSolver>): PlannerWork {
  let solver: Promise<MixedIntegerSolver> | null = null;
  return {
    plan: (request, options) => outcomeOf(() => planReduction(request, options)),
    planBoth: (asked) =>
      outcomeOf(async () => {
        solver ??= loadSolver();
        return planBothArches(asked, await solver);
      }),
  };
}
