import { z } from 'zod';
import { archPlace, type Contact, jawOf } from '../base/tooth.ts';
import type { ReductionPlan } from '../reduction/ReductionPlan.ts';
import { number, ratio, tooth, uniqueBy } from './fields.ts';

const lengthMm = number.min(0).max(1000);

/** A plan names its teeth in the order the request did, which may be either. */
const contact: z.ZodType<Contact> = z
  .tuple([tooth, tooth])
  .refine(([a, b]) => jawOf(a) === jawOf(b) && archPlace(a) !== archPlace(b), 'two neighbours of one jaw');

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
    (planned) => [...planned.teeth].sort().join('-'),
  ),
  forecast: z.strictObject({
    residualMeanMm: number,
    residualSdMm: lengthMm,
    chanceGap: ratio,
    chanceJam: ratio,
  }),
});
