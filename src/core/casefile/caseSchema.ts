import { z } from 'zod';
import { type Jaw, jawOf, type Tooth } from '../base/tooth.ts';
import type { CrownCorrections } from '../crowns/crownCorrections.ts';
import { markKey, type PlacedMark, type Reading } from '../marks/Mark.ts';
import type { ArchForm } from '../measure/ArchMeasures.ts';
import { RADIOGRAPH_MAX_MM } from '../reduction/enamel.ts';
import { COURSE_BOUNDS, type CourseSettings } from '../reduction/motion/CourseSettings.ts';
import type { OwnAmount } from '../reduction/ownAmounts.ts';
import { VISITS_MAX } from '../reduction/requestSchema.ts';
import type { ScanFacts } from '../scan/ScanMesh.ts';
import type { Allowance, WidthPrediction } from '../space/Ledger.ts';
import type { ArchRecord, CaseDocument, ContactSettings, PlanSettings, ToothChart } from './CaseDocument.ts';
import {
  archFrameSchema,
  atLeastZeroMm,
  contact,
  count,
  fileName,
  number,
  pointMm,
  ratio,
  sha256,
  tooth,
  uniqueBy,
} from './fields.ts';
import { cuttingChoiceSchema, midlineSchema, togetherSchema } from './planSchemas.ts';
import {
  closureSchema,
  faultsOfFollowUps,
  followUpsSchema,
  overridesSchema,
  teethOfVisits,
  visitsSchema,
} from './visitSchemas.ts';

export const markSite = z.enum(['mesial', 'distal', 'cusp', 'incisal']);

export const archForm: z.ZodType<ArchForm> = z.enum([
  'spline',
  'polynomial4',
  'polynomial6',
  'beta',
  'catenary',
  'conic',
]);

const scanFactsSchema: z.ZodType<ScanFacts> = z.strictObject({
  file: fileName,
  sha256,
  format: z.enum(['stl-binary', 'stl-ascii', 'ply-binary-le', 'ply-binary-be', 'ply-ascii', 'obj']),
  byteCount: z.int().min(0),
  unit: z.enum(['mm', 'cm', 'm', 'in', 'um']),
  triangles: count,
  vertices: count,
});

const placedMarkSchema: z.ZodType<PlacedMark> = z.strictObject({
  tooth,
  site: markSite,
  pointMm,
  state: z.enum(['proposed', 'confirmed']),
  confidence: ratio.nullable(),
  sdMm: atLeastZeroMm.optional(),
});

const readingSchema: z.ZodType<Reading> = z.strictObject({
  observer: z.string().max(200),
  repeat: z.int().min(1).max(10_000),
  marks: uniqueBy(placedMarkSchema, markKey),
  orderSeed: count.optional(),
});

const toothList = uniqueBy(tooth, (t) => t);

const toothChartSchema: z.ZodType<ToothChart> = z
  .strictObject({
    missing: toothList,
    unerupted: toothList,
    thirdMolars: uniqueBy(
      tooth.refine((t) => t % 10 === 8, 'a third molar'),
      (t) => t,
    ),
    primary: uniqueBy(
      tooth.refine((t) => t > 50, 'a primary tooth'),
      (t) => t,
    ).optional(),
    enteredWidths: uniqueBy(
      z.strictObject({ tooth, widthMm: number.gt(0).max(30), sdMm: atLeastZeroMm }),
      (entry) => entry.tooth,
    ),
  })
  .refine((chart) => !chart.unerupted.some((t) => chart.missing.includes(t)), {
    message: 'no tooth that is also missing',
    path: ['unerupted'],
  })
  .refine((chart) => (chart.primary ?? []).every((t) => chart.unerupted.includes(t - 40)), {
    message: 'primary teeth whose successors are unerupted',
    path: ['primary'],
  });

const allowanceSchema: z.ZodType<Allowance> = z.strictObject({
  kind: z.enum([
    'spee',
    'incisor-position',
    'incisor-inclination',
    'arch-width',
    'molar-movement',
    'extraction',
    'other',
  ]),
  rule: z.string().min(1).max(100),
  inputs: z.record(z.string().regex(/^[A-Za-z][A-Za-z0-9]{0,60}$/, 'a plain name'), number),
  ownMm: number.min(-1000).max(1000).optional(),
  ownSdMm: atLeastZeroMm.optional(),
});

const predictionSchema: z.ZodType<WidthPrediction> = z.discriminatedUnion('method', [
  z.strictObject({
    method: z.literal('moyers'),
    percentile: number.min(5).max(95),
  }),
  z.strictObject({ method: z.literal('regression'), id: z.string().min(1).max(100) }),
  z.strictObject({ method: z.literal('antimere') }),
]);

const limitMm = number.min(0).max(10); // as in a reduction request

const radiographMm = number.min(0).max(RADIOGRAPH_MAX_MM);

const contactSettingsSchema: z.ZodType<ContactSettings> = z.strictObject({
  teeth: contact,
  limitMm: limitMm.nullable(),
  limitReason: z.string().max(2000),
  surfaceLimitsMm: z.tuple([limitMm.nullable(), limitMm.nullable()]),
  earlierReductionMm: z.tuple([limitMm, limitMm]),
  enamelMm: z.tuple([radiographMm.nullable(), radiographMm.nullable()]).optional(),
  lock: z.enum(['restoration', 'implant', 'caries-risk', 'refused', 'other']).nullable(),
  reachableFromVisit: z.int().min(1).max(VISITS_MAX),
});

const ownTenthsSchema: z.ZodType<readonly OwnAmount[]> = uniqueBy(
  z.strictObject({ teeth: contact, amountMm: limitMm, reason: z.string().max(2000) }),
  (own) => own.teeth.join('-'),
);

const planSettingsSchema: z.ZodType<PlanSettings> = z.strictObject({
  neededMm: number.min(-200).max(200).nullable(),
  stepMm: number.min(0.001).max(10),
  overshootRisk: number.gt(0).lt(1),
  visits: z.int().min(1).max(VISITS_MAX),
  perVisitLimitMm: number.gt(0).max(1000),
  contacts: uniqueBy(contactSettingsSchema, (settings) => settings.teeth.join('-')),
  midline: midlineSchema.optional(),
});

const within = ([least, most]: readonly [number, number]) => number.min(least).max(most);

const courseSchema: z.ZodType<CourseSettings> = z.strictObject({
  reference: z.enum(['molars', 'midline']),
  middle: z.enum(['even', 'stays']),
  middleShiftMm: within(COURSE_BOUNDS.middleShiftMm),
  levelled: z.boolean(),
  stepMm: within(COURSE_BOUNDS.stepMm),
  stepRad: within(COURSE_BOUNDS.stepRad),
  stagesPerVisit: within(COURSE_BOUNDS.stagesPerVisit).int(),
  reachStepMm: within(COURSE_BOUNDS.reachStepMm),
});

const PAINTED_MAX = 20_000;

const crownCorrectionsSchema: z.ZodType<CrownCorrections> = z.strictObject({
  seeds: uniqueBy(z.strictObject({ tooth, pointMm }), (seed) => seed.tooth),
  painted: z
    .array(z.strictObject({ tooth: z.union([tooth, z.literal(0)]), pointMm, radiusMm: number.gt(0).max(20) }))
    .max(PAINTED_MAX),
});

/** Every tooth an arch record names, with the path at which it stands. */
function* namedTeeth(record: ArchRecord): Generator<readonly [Tooth, (string | number)[]]> {
  for (const [r, reading] of record.readings.entries())
    for (const [m, mark] of reading.marks.entries()) yield [mark.tooth, ['readings', r, 'marks', m, 'tooth']];
  for (const list of ['missing', 'unerupted', 'thirdMolars'] as const)
    for (const [i, t] of record.chart[list].entries()) yield [t, ['chart', list, i]];
  for (const [i, t] of (record.chart.primary ?? []).entries()) yield [t, ['chart', 'primary', i]];
  for (const [i, entry] of record.chart.enteredWidths.entries())
    yield [entry.tooth, ['chart', 'enteredWidths', i, 'tooth']];
  for (const [i, settings] of record.plan.contacts.entries())
    yield [settings.teeth[0], ['plan', 'contacts', i, 'teeth', 0]];
  for (const [i, own] of (record.ownTenths ?? []).entries())
    yield [own.teeth[0], ['ownTenths', i, 'teeth', 0]];
  for (const [i, seed] of (record.crownCorrections?.seeds ?? []).entries())
    yield [seed.tooth, ['crownCorrections', 'seeds', i, 'tooth']];
  for (const [i, ball] of (record.crownCorrections?.painted ?? []).entries())
    if (ball.tooth !== 0) yield [ball.tooth, ['crownCorrections', 'painted', i, 'tooth']];
  yield* teethOfVisits(record);
}

const archRecordSchema = (which: Jaw): z.ZodType<ArchRecord> =>
  z
    .strictObject({
      jaw: z.literal(which),
      scan: scanFactsSchema,
      medianEdgeMm: number.gt(0).max(1000),
      frame: archFrameSchema,
      frameSource: z.enum(['found', 'corrected']),
      frameConfidence: ratio.nullable(),
      readings: z.array(readingSchema).min(1),
      activeReading: z.int().min(0),
      chart: toothChartSchema,
      form: archForm,
      perimeter: z.enum(['line', 'four-segments', 'six-segments']),
      markSdMm: number.gt(0).max(10),
      prediction: predictionSchema.nullable(),
      allowances: z.array(allowanceSchema),
      plan: planSettingsSchema,
      ownTenths: ownTenthsSchema.optional(),
      course: courseSchema.optional(),
      crownCorrections: crownCorrectionsSchema.optional(),
      visits: visitsSchema.optional(),
      followUps: followUpsSchema(scanFactsSchema, placedMarkSchema).optional(),
      closure: closureSchema.optional(),
      overrides: overridesSchema.optional(),
    })
    .superRefine((record, context) => {
      if (record.activeReading >= record.readings.length)
        context.addIssue({
          code: 'custom',
          path: ['activeReading'],
          message: `a number below ${record.readings.length}, the count of readings`,
        });
      for (const [message, path] of faultsOfFollowUps(record))
        context.addIssue({ code: 'custom', path, message });
      for (const [t, path] of namedTeeth(record)) {
        if (jawOf(t) !== record.jaw)
          context.addIssue({ code: 'custom', path, message: `a tooth of the ${record.jaw} jaw` });
      }
    });

/** `case@1`, strict: an unknown field, a tooth of the other jaw or two entries for one thing are refused. */
export const caseSchema: z.ZodType<CaseDocument> = z.strictObject({
  schema: z.literal('archledger/case@1'),
  id: z.string().regex(/^[A-Za-z0-9-]{1,64}$/, 'letters, digits and hyphens, at most 64'),
  title: z.string().max(500),
  createdAt: z.iso.datetime(),
  notation: z.enum(['iso', 'universal', 'palmer']),
  ratioNorm: z.string().min(1).max(100),
  together: togetherSchema.optional(),
  cutting: cuttingChoiceSchema.optional(),
  caliper: uniqueBy(
    z.strictObject({ tooth, widthMm: number.gt(0).max(30) }),
    (entry) => entry.tooth,
  ).optional(),
  arches: z.strictObject({
    upper: archRecordSchema('upper').nullable(),
    lower: archRecordSchema('lower').nullable(),
  }),
});
