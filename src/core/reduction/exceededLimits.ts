import type { Contact, Tooth } from '../base/tooth.ts';
import type { ReductionPlan } from './ReductionPlan.ts';
import type { ContactLimits } from './reductionRequest.ts';
import { tidyMm } from './stepAmounts.ts';

/** A contact whose limits were raised on purpose; to be shown and printed wherever the plan is. */
export interface ExceededLimit {
  readonly teeth: Contact;
  readonly reason: string;
  readonly limitMm: number;
  readonly usualLimitMm: number;
  readonly plannedMm: number;
  /** What of the plan lies above the usual limits; 0 on each line where the raised limit is not made use of. */
  readonly contactOverMm: number;
  readonly surfacesOverMm: readonly { readonly tooth: Tooth; readonly overMm: number }[];
  readonly isUsed: boolean;
  readonly text: string;
}

/**
 * Limits raised on purpose, with the reason given and what the plan makes of them.
 * Shape: `limits` are those of the request the plan answers, in its order. Units: mm.
 */
export function exceededLimits(
  plan: ReductionPlan,
  limits: readonly ContactLimits[],
): readonly ExceededLimit[] {
  return limits.flatMap((limit, i): ExceededLimit[] => {
    if (!limit.exceedsDefault) return [];
    const { totalMm, surfacesMm } = plan.contacts[i];
    const contactOverMm = tidyMm(Math.max(0, totalMm - limit.usualLimitMm));
    const surfacesOverMm = limit.teeth.map((tooth, k) => ({
      tooth,
      overMm: tidyMm(Math.max(0, surfacesMm[k] - limit.usualSurfacesMm[k])),
    }));
    const over = surfacesOverMm.filter(({ overMm }) => overMm > 0);
    const isUsed = contactOverMm > 0 || over.length > 0;
    const parts = [
      ...(contactOverMm > 0
        ? [`${contactOverMm.toFixed(2)} mm above the usual ${limit.usualLimitMm} mm of a contact`]
        : []),
      ...over.map(({ tooth, overMm }) => `${overMm.toFixed(2)} mm above the usual limit of tooth ${tooth}`),
    ];
    const text = isUsed
      ? `${parts.join('; ')}. Reason given: ${limit.reason}`
      : `Limit raised, the plan stays below the usual one. Reason given: ${limit.reason}`;
    return [
      {
        teeth: limit.teeth,
        reason: limit.reason,
        limitMm: limit.limitMm,
        usualLimitMm: limit.usualLimitMm,
        plannedMm: totalMm,
        contactOverMm,
        surfacesOverMm,
        isUsed,
        text,
      },
    ];
  });
}
