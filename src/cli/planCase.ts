import type { ArchAccount } from '../core/casefile/archAccount.ts';
import { caseAccount } from '../core/casefile/archAccount.ts';
import { bothAsked } from '../core/casefile/bothAsked.ts';
import type { CaseDocument } from '../core/casefile/CaseDocument.ts';
import { checkedDocument } from '../core/casefile/readDocument.ts';
import { bothReasons } from '../core/reduction/bothReasons.ts';
import { type BothPlans, planBothArches } from '../core/reduction/planBothArches.ts';
import { planReduction } from '../core/reduction/planReduction.ts';
import type { ReductionPlan } from '../core/reduction/ReductionPlan.ts';
import type { RatioBand } from '../core/reduction/twoArchModel.ts';

/** Plans of a case as it says they are to be made; an arch that is not there, or not asked for, has none. */
export interface CasePlans {
  readonly upper: ReductionPlan | null;
  readonly lower: ReductionPlan | null;
  readonly missing: readonly string[]; // why an arch has no plan
  /** What came of weighing both arches; null where each is planned by itself. */
  readonly together:
    | (Pick<BothPlans, 'outsideBandsMm' | 'extraMm' | 'cost'> & {
        readonly bands: readonly RatioBand[];
        readonly reasons: readonly string[];
      })
    | null;
}

/** The plans the page shows for a case, own tenths aside. Refuses: as `measureArch`, `planReduction`, `planBothArches`. */
export async function casePlans(document: CaseDocument): Promise<CasePlans> {
  const { upper, lower } = caseAccount(document);
  const missing = [upper, lower].flatMap((account) =>
    account?.notAsked ? [`${account.jaw}: ${account.notAsked.message}`] : [],
  );
  const asked = bothAsked(document, { upper, lower });
  if (asked) {
    const { default: loadHighs } = await import('highs');
    const plans = planBothArches(asked.input, await loadHighs());
    const { outsideBandsMm, extraMm, cost } = plans;
    const { bands } = asked.input;
    return {
      upper: checkedDocument(plans.upper, 'reduction-plan'),
      lower: checkedDocument(plans.lower, 'reduction-plan'),
      missing: [...missing, ...asked.problems.map(({ text }) => text)],
      together: { bands, outsideBandsMm, extraMm, cost, reasons: bothReasons(plans, bands) },
    };
  }
  const single = (account: ArchAccount | null): ReductionPlan | null => {
    if (!account?.asked) return null;
    const midline = document.arches[account.jaw]?.plan.midline ?? null;
    return checkedDocument(planReduction(account.asked.request, { midline }), 'reduction-plan');
  };
  return { upper: single(upper), lower: single(lower), missing, together: null };
}
