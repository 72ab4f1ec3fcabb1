import type { Tooth } from '../base/tooth.ts';
import type { ToothWidth } from '../space/toothSizeRatios.ts';
import type { ReductionPlan } from './ReductionPlan.ts';
import { tidyMm } from './stepAmounts.ts';

/** Enamel a plan takes from each tooth, mm; a tooth it leaves alone is not in the map. */
export function takenByTooth(plan: ReductionPlan): ReadonlyMap<Tooth, number> {
  const taken = new Map<Tooth, number>();
  for (const { teeth, surfacesMm } of plan.contacts)
    for (const k of [0, 1])
      if (surfacesMm[k] > 0) taken.set(teeth[k], tidyMm((taken.get(teeth[k]) ?? 0) + surfacesMm[k]));
  return taken;
}

/** Widths as they stand once a plan is carried out, held-back tenths included; SDs stay. Units: mm. */
export function widthsAfterPlan(
  widths: readonly ToothWidth[],
  plan: ReductionPlan | null,
): readonly ToothWidth[] {
  const taken = plan ? takenByTooth(plan) : new Map<Tooth, number>();
  return widths.map(({ tooth, widthMm, sdMm }) => ({
    tooth,
    widthMm: widthMm - (taken.get(tooth) ?? 0),
    sdMm,
  }));
}
