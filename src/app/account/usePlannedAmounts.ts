import type { Jaw } from '../../core/base/tooth.ts';
import {
  type OwnAmount,
  type OwnExcess,
  type OwnPlan,
  planOfOwnAmounts,
} from '../../core/reduction/ownAmounts.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import type { BuiltRequest, ContactLimits } from '../../core/reduction/reductionRequest.ts';
import type { MidlineWish } from '../../core/reduction/sidesInBalance.ts';
import { useStore } from '../store.ts';
import { archAccountOf, useArchAccount } from './useArchAccount.ts';
import { type PlanState, planOf, usePlan } from './usePlan.ts';

/** The amounts in force at the contacts of an arch: the user's own tenths where they are set, else the plan's. */
export interface PlannedAmounts {
  readonly from: 'plan' | 'own';
  /** In force, contact by contact, with surfaces, visits, what is held back, and forecast. */
  readonly plan: ReductionPlan;
  readonly request: ReductionRequest; // the one `plan` answers; limits raised where an own amount has its reason
  readonly limits: readonly ContactLimits[]; // for `exceededLimits(plan, limits)`
  readonly excesses: readonly OwnExcess[]; // limits that own amounts do not keep; empty for the plan
  readonly exactPlan: ReductionPlan | null; // beside own amounts, to compare with
}

const ownPlans = new WeakMap<BuiltRequest, { own: readonly OwnAmount[]; found: OwnPlan }>();

/** Own amounts as a plan, computed once for each version of them; under a millisecond, so on the page itself. */
function ownPlanOf(own: readonly OwnAmount[], asked: BuiltRequest, midline: MidlineWish | null): OwnPlan {
  const known = ownPlans.get(asked);
  if (known?.own === own) return known.found;
  const found = planOfOwnAmounts(own, asked, { midline });
  ownPlans.set(asked, { own, found });
  return found;
}

const amounts = new WeakMap<ReductionPlan, PlannedAmounts>();

/** `midline` is a setting of the plan, so that another wish comes with another `asked`. */
function amountsInForce(
  own: readonly OwnAmount[] | undefined,
  midline: MidlineWish | null,
  asked: BuiltRequest | null,
  { plan, request }: PlanState,
): PlannedAmounts | null {
  if (!asked) return null;
  const mine = own ? ownPlanOf(own, asked, midline) : null;
  const inForce = mine?.plan ?? plan;
  if (!inForce) return null;
  const known = amounts.get(inForce);
  if (known && known.exactPlan === plan && known.limits === (mine ?? asked).limits) return known;
  const found: PlannedAmounts = mine
    ? { from: 'own', ...mine, exactPlan: plan }
    : {
        from: 'plan',
        plan: inForce,
        request: request ?? asked.request,
        limits: asked.limits,
        excesses: [],
        exactPlan: plan,
      };
  amounts.set(inForce, found);
  return found;
}

/**
 * The amounts in force of a jaw; null while there is neither a plan nor amounts of the user's own. The one place to
 * ask what is to be taken at a contact: strip, course of the teeth, visits, ratios and print all take it from here.
 */
export function usePlannedAmounts(jaw: Jaw): PlannedAmounts | null {
  const own = useStore((state) => state.caseDocument.arches[jaw]?.ownTenths);
  const midline = useStore((state) => state.caseDocument.arches[jaw]?.plan.midline ?? null);
  const asked = useArchAccount(jaw)?.asked ?? null;
  return amountsInForce(own, midline, asked, usePlan(jaw));
}

/** The same, outside of rendering. */
export function plannedAmountsOf(jaw: Jaw): PlannedAmounts | null {
  const { arches } = useStore.getState().caseDocument;
  const record = arches[jaw];
  if (!record) return null;
  const asked = archAccountOf(record, arches[jaw === 'upper' ? 'lower' : 'upper'])?.asked ?? null;
  return amountsInForce(record.ownTenths, record.plan.midline ?? null, asked, planOf(jaw));
}
