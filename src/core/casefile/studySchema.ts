import { z } from 'zod';
import type { StudyFile } from '../study/StudyFile.ts';
import { count, number, uniqueBy } from './fields.ts';

const figure = number.nullable();
const interval = z
  .tuple([number, number])
  .refine(([low, high]) => low <= high, 'a lower end and an upper end not below it');
const ends = interval.nullable();
const estimate = z.strictObject({ value: figure, ci: ends });
const line = z.strictObject({ slope: figure, intercept: figure, slopeCi: ends, interceptCi: ends });
const errorSize = number.min(0).nullable();

/** `study@1`, strict. */
export const studySchema: z.ZodType<StudyFile> = z.strictObject({
  schema: z.literal('archledger/study@1'),
  groups: uniqueBy(
    z.strictObject({
      by: z.string().nullable(),
      n: count,
      bias: figure,
      sd: errorSize,
      biasCi: ends,
      limitsOfAgreement: ends,
      limitsCi: z.tuple([interval, interval]).nullable(),
      dahlberg: errorSize,
      technicalErrorPercent: figure,
      pearson: number.min(-1).max(1).nullable(),
      linCcc: number.min(-1).max(1).nullable(),
      icc: z.strictObject({
        single1: estimate,
        single2: estimate,
        single3: estimate,
        average1: estimate,
        average2: estimate,
        average3: estimate,
      }),
      deming: line,
      passingBablok: line,
      pairedT: z.strictObject({ t: figure, df: count.nullable(), p: number.min(0).max(1).nullable() }),
    }),
    (group) => (group.by === null ? 'all pairs' : JSON.stringify(group.by)),
  ).refine((groups) => groups[0]?.by === null, 'the pooled group (by: null) first'),
});
