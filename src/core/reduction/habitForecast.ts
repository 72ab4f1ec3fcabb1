import { studentProbability } from '../base/studentDistribution.ts';
import type { Contact } from '../base/tooth.ts';
import { type CuttingHabit, spreadMm } from './cuttingHabit.ts';
import type { ReductionPlan, ReductionRequest } from './ReductionPlan.ts';

/** Chance of a gap wider, and of jamming tighter, than a threshold; 0–1. */
export interface ResidualChance {
  readonly thresholdMm: number;
  readonly chanceGap: number;
  readonly chanceJam: number;
}

/** Space left at the end, with what is and is not known of the measure and of the hand; positive is a gap. */
export interface HabitForecast {
  readonly residualMeanMm: number;
  readonly residualSdMm: number;
  readonly cutMeanMm: number;
  readonly cutSdMm: number;
  readonly chances: readonly ResidualChance[];
}

export const RESIDUAL_THRESHOLDS_MM: readonly number[] = [0.1, 0.3];

/** Enamel that will be taken: expected, SD, and degrees of freedom of its Student distribution. */
export interface CutExpected {
  readonly meanMm: number;
  readonly sdMm: number;
  readonly degrees: number;
}

/**
 * What a habit makes of a planned amount, however it is split: the one unknown ratio errs alike everywhere.
 * Units: mm. Exact: Student's t with 2·shape degrees, unless the amount is so small that a cut below 0 would count.
 */
export function expectedCut(habit: CuttingHabit, plannedMm: number): CutExpected {
  const variance = spreadMm(habit) * plannedMm * (1 + plannedMm / habit.weightMm);
  return { meanMm: habit.ratio * plannedMm, sdMm: Math.sqrt(variance), degrees: 2 * habit.shape };
}

/**
 * Forecast of a plan carried out by an operator with a habit: measuring error and cutting together.
 *
 * Units:    mm in, mm out; chances beyond ± each threshold.
 * Shape:    `habit` may differ by contact; contacts given the same object share its unknown ratio.
 * Accuracy: mean and SD exact; chances by a Student distribution of the same first four moments, within 0.005 of
 *           200,000 seeded draws over random cases — tests/core/reduction/habitForecast.test.ts.
 */
export function habitForecast(
  plan: ReductionPlan,
  request: ReductionRequest,
  habit: (teeth: Contact) => CuttingHabit,
  choice: { readonly heldBack?: 'cut' | 'left'; readonly thresholdsMm?: readonly number[] } = {},
): HabitForecast {
  const planned = new Map<CuttingHabit, number>();
  for (const { teeth, totalMm, heldBackMm } of plan.contacts) {
    const mm = choice.heldBack === 'left' ? totalMm - heldBackMm : totalMm;
    const own = habit(teeth);
    if (mm > 0) planned.set(own, (planned.get(own) ?? 0) + mm);
  }
  const cuts = [...planned].map(([own, mm]) => expectedCut(own, mm));
  const cutMeanMm = cuts.reduce((sum, cut) => sum + cut.meanMm, 0);
  const cutSdMm = Math.hypot(...cuts.map((cut) => cut.sdMm));
  const residualMeanMm = cutMeanMm - request.neededMm;
  const residualSdMm = Math.hypot(cutSdMm, request.neededSdMm);
  const degrees = degreesOfSum(cuts, residualSdMm);
  const beyond = (excessMm: number): number => {
    if (residualSdMm === 0) return excessMm > 1e-9 ? 1 : 0;
    const scaleMm = residualSdMm * Math.sqrt((degrees - 2) / degrees);
    return studentProbability(excessMm / scaleMm, degrees);
  };
  const chances = (choice.thresholdsMm ?? RESIDUAL_THRESHOLDS_MM).map((thresholdMm) => ({
    thresholdMm,
    chanceGap: beyond(residualMeanMm - thresholdMm),
    chanceJam: beyond(-thresholdMm - residualMeanMm),
  }));
  return { residualMeanMm, residualSdMm, cutMeanMm, cutSdMm, chances };
}

const ALMOST_NORMAL = 1e6;

/** Degrees of freedom whose excess of kurtosis, 6 ÷ (degrees − 4), is that of the sum. */
function degreesOfSum(cuts: readonly CutExpected[], sdMm: number): number {
  if (sdMm === 0) return ALMOST_NORMAL;
  const excess = cuts.reduce((sum, cut) => sum + (6 / (cut.degrees - 4)) * (cut.sdMm / sdMm) ** 4, 0);
  return excess > 0 ? Math.min(ALMOST_NORMAL, 4 + 6 / excess) : ALMOST_NORMAL;
}
