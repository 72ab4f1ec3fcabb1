import { z } from 'zod';
import { Refusal } from '../base/refusal.ts';
import { type Jaw, jawOf } from '../base/tooth.ts';
import { type Mark, markKey, type Reading } from '../marks/Mark.ts';
import { markSite } from './caseSchema.ts';
import { jaw, pointMm, tooth, uniqueBy } from './fields.ts';

/** `marks@1`: the marks of one reading of one arch, scan frame, mm. */
export interface MarksFile {
  readonly schema: 'archledger/marks@1';
  readonly jaw: Jaw;
  readonly marks: readonly Mark[];
}

const markSchema: z.ZodType<Mark> = z.strictObject({ tooth, site: markSite, pointMm });

export const marksSchema: z.ZodType<MarksFile> = z
  .strictObject({ schema: z.literal('archledger/marks@1'), jaw, marks: uniqueBy(markSchema, markKey) })
  .superRefine((file, context) => {
    for (const [i, mark] of file.marks.entries()) {
      if (jawOf(mark.tooth) !== file.jaw)
        context.addIssue({
          code: 'custom',
          path: ['marks', i, 'tooth'],
          message: `a tooth of the ${file.jaw} jaw`,
        });
    }
  });

/** The confirmed marks of a reading as a file; a proposal nobody looked at is not passed on as a mark. */
export const marksFile = (reading: Reading, jaw: Jaw): MarksFile => ({
  schema: 'archledger/marks@1',
  jaw,
  marks: reading.marks
    .filter((mark) => mark.state === 'confirmed')
    .map(({ tooth, site, pointMm }) => ({ tooth, site, pointMm })),
});

/**
 * A marks file as a reading, every mark confirmed: somebody placed them.
 * Refuses: 'jaw-mismatch' (the file is of the other jaw).
 */
export function marksIntoReading(file: MarksFile, jaw: Jaw, observer = '', repeat = 1): Reading {
  if (file.jaw !== jaw)
    throw new Refusal(
      'jaw-mismatch',
      `marksIntoReading: the marks are of the other jaw; got ${file.jaw}, need ${jaw}. Choose the marks of this arch.`,
      { got: file.jaw, need: jaw },
    );
  return {
    observer,
    repeat,
    marks: file.marks.map((mark) => ({ ...mark, state: 'confirmed', confidence: null })),
  };
}
