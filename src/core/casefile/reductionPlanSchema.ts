import { z } from 'zod';
import type { ReductionPlan } from '../reduction/ReductionPlan.ts';
import { contact, number, ratio, uniqueBy } from './fields.ts';

const lengthMm = number.min(0).max(1000);

/** `reduction-plan@1`, strict. */
export const reductionPlanSchema: z.ZodType<ReductionPlan> = z.strictObject({
  schema: z.literal('archledger/reduction-plan@1'),
  status: z.enum(['meets', 'short', 'none']),
  goalMm: lengthMm,
  commitMm: lengthMm,
  plannedMm: lengthMm,
  heldBackMm: lengthMm,
  shortMm: lengthMm,
  contacts: uniqueBy(
    z.strictObject({
      teeth: contact,
      totalMm: lengthMm,
      surfacesMm: z.tuple([lengthMm, lengthMm]),
      byVisitMm: z.array(lengthMm),
      heldBackMm: lengthMm,
    }),
    (planned) => planned.teeth.join('-'),
  ),
  forecast: z.strictObject({
    residualMeanMm: number,
    residualSdMm: lengthMm,
    chanceGap: ratio,
    chanceJam: ratio,
  }),
});
