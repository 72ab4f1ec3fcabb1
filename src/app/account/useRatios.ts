import { widthsAfterPlan } from '../../core/reduction/widthsAfterPlan.ts';
import { toothSizeNorm } from '../../core/space/toothSizeNorms.ts';
import { toothSizeRatios } from '../../core/space/toothSizeRatios.ts';
import { useStore } from '../store.ts';
import { useArchAccount } from './useArchAccount.ts';
import { usePlan } from './usePlan.ts';

export type Ratios = ReturnType<typeof toothSizeRatios>;

/** Tooth-size ratios as measured, and once the plans are carried out; null while an arch or the norm is missing. */
export function useRatios(): { readonly now: Ratios; readonly planned: Ratios | null } | null {
  const upper = useArchAccount('upper');
  const lower = useArchAccount('lower');
  const upperPlan = usePlan('upper').plan;
  const lowerPlan = usePlan('lower').plan;
  const norm = useStore((state) => toothSizeNorm(state.caseDocument.ratioNorm));
  if (!upper || !lower || !norm) return null;
  const [top, bottom] = [upper.measures.teeth, lower.measures.teeth];
  const plans = [upper.asked ? upperPlan : null, lower.asked ? lowerPlan : null];
  return {
    now: toothSizeRatios({ upper: top, lower: bottom, norm }),
    planned: plans.some((plan) => plan && plan.plannedMm > 0)
      ? toothSizeRatios({
          upper: widthsAfterPlan(top, plans[0]),
          lower: widthsAfterPlan(bottom, plans[1]),
          norm,
        })
      : null,
  };
}
