import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';
import { widthsAfterPlan } from '../../core/reduction/widthsAfterPlan.ts';
import { toothSizeNorm } from '../../core/space/toothSizeNorms.ts';
import { toothSizeRatios } from '../../core/space/toothSizeRatios.ts';
import { useStore } from '../store.ts';
import { useArchAccount } from './useArchAccount.ts';
import { usePlannedAmounts } from './usePlannedAmounts.ts';

export type Ratios = ReturnType<typeof toothSizeRatios>;

export interface RatiosNowAndAfter {
  readonly now: Ratios;
  /** With the amounts in force carried out; null while nothing is planned. */
  readonly planned: Ratios | null;
  /** Whose amounts these are: own tenths of either arch make them the user's. */
  readonly from: 'plan' | 'own';
  /** With the exact plans carried out, beside own tenths; else null. */
  readonly exact: Ratios | null;
}

/** Tooth-size ratios as measured, and once the amounts in force are taken; null while an arch or the norm is missing. */
export function useRatios(): RatiosNowAndAfter | null {
  const upper = useArchAccount('upper');
  const lower = useArchAccount('lower');
  const amounts = [usePlannedAmounts('upper'), usePlannedAmounts('lower')];
  const norm = useStore((state) => toothSizeNorm(state.caseDocument.ratioNorm));
  if (!upper || !lower || !norm) return null;
  const [top, bottom] = [upper.measures.teeth, lower.measures.teeth];
  const after = (plans: readonly (ReductionPlan | null)[]): Ratios | null =>
    plans.some((plan) => plan && plan.plannedMm > 0)
      ? toothSizeRatios({
          upper: widthsAfterPlan(top, plans[0]),
          lower: widthsAfterPlan(bottom, plans[1]),
          norm,
        })
      : null;
  const from = amounts.some((one) => one?.from === 'own') ? 'own' : 'plan';
  const now = toothSizeRatios({ upper: top, lower: bottom, norm });
  return {
    now,
    planned: after(amounts.map((one) => one?.plan ?? null)),
    from,
    exact: from === 'own' ? (after(amounts.map((one) => one?.exactPlan ?? null)) ?? now) : null,
  };
}
