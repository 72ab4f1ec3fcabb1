import { z } from 'zod';
import type { ArchFrame } from '../arch/ArchFrame.ts';
import { archPlace, type Contact, isTooth, type Jaw, jawOf, type Tooth } from '../base/tooth.ts';
import { dot, length, type Vec3 } from '../base/Vec3.ts';

// Without this zod tries to compile code at run time, which a strict content security policy reports.
z.config({ jitless: true });

/** A finite number; JSON cannot hold NaN, but 1e999 reads as Infinity. */
export const number = z.number();
export const ratio = number.min(0).max(1);
export const atLeastZeroMm = number.min(0).max(1000);
export const count = z.int().min(0).max(4_294_967_295);

const COORDINATE_LIMIT_MM = 1e6; // scanners keep some offset, but never a kilometre
const coordinateMm = number.min(-COORDINATE_LIMIT_MM).max(COORDINATE_LIMIT_MM);

export const pointMm: z.ZodType<Vec3> = z.tuple([coordinateMm, coordinateMm, coordinateMm]);

const UNIT_TOLERANCE = 1e-6;

const unitVector: z.ZodType<Vec3> = z
  .tuple([number, number, number])
  .refine((v) => Math.abs(length(v) - 1) < UNIT_TOLERANCE, 'a vector of length 1');

export const archFrameSchema: z.ZodType<ArchFrame> = z
  .strictObject({ originMm: pointMm, occlusal: unitVector, forward: unitVector })
  .refine((f) => Math.abs(dot(f.occlusal, f.forward)) < UNIT_TOLERANCE, {
    message: 'a direction perpendicular to occlusal',
    path: ['forward'],
  });

export const jaw: z.ZodType<Jaw> = z.enum(['upper', 'lower']);

export const tooth: z.ZodType<Tooth> = z.number().refine(isTooth, 'an ISO 3950 tooth number');

/** Two neighbours of one jaw, the one further to the patient's right first. */
export const contact: z.ZodType<Contact> = z
  .tuple([tooth, tooth])
  .refine(
    ([a, b]) => jawOf(a) === jawOf(b) && archPlace(a) < archPlace(b),
    'two teeth of one jaw, the one further to the right first',
  );

/** A list in which no two entries share a key. */
export const uniqueBy = <T>(item: z.ZodType<T>, keyOf: (value: T) => string | number) =>
  z.array(item).superRefine((values, context) => {
    const seen = new Set<string | number>();
    values.forEach((value, i) => {
      const key = keyOf(value);
      if (seen.has(key))
        context.addIssue({ code: 'custom', path: [i], message: `no second entry for ${key}` });
      seen.add(key);
    });
  });

export const fileName = z
  .string()
  .min(1)
  .max(255)
  .refine((name) => !/[/\\\p{Cc}]/u.test(name), 'a file name without folders');

export const sha256 = z.string().regex(/^[0-9a-f]{64}$/, '64 lower-case hexadecimal digits');
