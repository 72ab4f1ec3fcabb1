import { z } from 'zod';
import { CUTTING_PRIORS } from '../reduction/cuttingPriors.ts';
import type { BandPercent, TogetherSettings } from '../reduction/ratioBands.ts';
import type { MidlineWish } from '../reduction/sidesInBalance.ts';
import { number } from './fields.ts';

const percent = number.gt(0).max(200);

const bandSchema: z.ZodType<BandPercent> = z
  .strictObject({ lowPercent: percent, highPercent: percent })
  .refine((band) => band.lowPercent <= band.highPercent, {
    message: 'at least lowPercent',
    path: ['highPercent'],
  });

const EXTRA_MAX_MM = 5; // more than a whole arch gives for a ratio is a slip of the decimal point
const extraMm = number.min(0).max(EXTRA_MAX_MM);

export const togetherSchema: z.ZodType<TogetherSettings> = z.strictObject({
  isOn: z.boolean(),
  ratios: z.enum(['overall', 'anterior', 'both']),
  target: z.enum(['norm-band', 'norm-mean', 'own']),
  own: z.strictObject({ overall: bandSchema.nullable(), anterior: bandSchema.nullable() }),
  extraMm: z.strictObject({ upper: extraMm, lower: extraMm }),
});

const SHIFT_MAX_MM = 10;

export const midlineSchema: z.ZodType<MidlineWish> = z.strictObject({
  shiftToRightMm: number.min(-SHIFT_MAX_MM).max(SHIFT_MAX_MM),
  toleranceMm: number.min(0).max(SHIFT_MAX_MM),
});

/** How forecasts take cutting to be: exactly as planned, as a study found, or as this operator's own record says. */
export type CuttingChoice = 'as-planned' | 'own-record' | (typeof CUTTING_PRIORS)[number]['id'];

export const cuttingChoiceSchema: z.ZodType<CuttingChoice> = z.enum([
  'as-planned',
  'own-record',
  ...CUTTING_PRIORS.map(({ id }) => id),
]);
