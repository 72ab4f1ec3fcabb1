import { z } from 'zod';
import type { Jaw, Tooth } from '../base/tooth.ts';
import { markKey, type PlacedMark } from '../marks/Mark.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import { VISITS_MAX } from '../reduction/requestSchema.ts';
import type { ScanFacts } from '../scan/ScanMesh.ts';
import type { CutEntry, CutMeasured, CuttingOverride } from '../visits/CutEntry.ts';
import type { ClosureSettings } from '../visits/closurePlan.ts';
import type { ContactChange, FollowUpMeasure, ToothChange } from '../visits/FollowUp.ts';
import type { FollowUpRecord } from '../visits/FollowUpRecord.ts';
import type { ArchRecord } from './CaseDocument.ts';
import {
  archFrameSchema,
  atLeastZeroMm,
  contact,
  jaw,
  number,
  ratio,
  sha256,
  tooth,
  uniqueBy,
} from './fields.ts';

const date = z.iso.date();
const cutMm = number.min(0).max(5); // no contact gives more; a larger figure is a slip of the decimal point

const cutMeasuredSchema: z.ZodType<CutMeasured> = z.discriminatedUnion('by', [
  z
    .strictObject({
      by: z.literal('gauge'),
      passesMm: cutMm,
      stopsMm: cutMm.nullable(),
      beforeMm: cutMm,
    })
    .refine((gauge) => gauge.stopsMm === null || gauge.stopsMm > gauge.passesMm, {
      message: 'a gauge thicker than the one that passes',
      path: ['stopsMm'],
    }),
  z.strictObject({ by: z.literal('feel'), amountMm: cutMm }),
  z.strictObject({ by: z.literal('caliper'), amountMm: cutMm }),
  z.strictObject({ by: z.literal('not-cut') }),
]);

const cutEntrySchema: z.ZodType<CutEntry> = z.strictObject({
  id: z.int().min(1),
  visit: z.int().min(1).max(VISITS_MAX),
  date,
  recordedAt: z.iso.datetime(),
  teeth: contact,
  plannedMm: cutMm,
  how: cutMeasuredSchema,
  firstShare: ratio,
  instrument: z.enum(['strip', 'bur', 'disc', 'oscillating-strip', 'other']),
  note: z.string().max(2000),
  replaces: z.int().min(1).nullable(),
});

/** A correction names an earlier entry of the same contact and visit, and no entry is corrected twice. */
export const visitsSchema: z.ZodType<readonly CutEntry[]> = uniqueBy(cutEntrySchema, (entry) => entry.id)
  .max(5000)
  .superRefine((entries, context) => {
    const replaced = new Set<number>();
    for (const [i, entry] of entries.entries()) {
      if (entry.replaces === null) continue;
      const earlier = entries.slice(0, i).find((other) => other.id === entry.replaces);
      const fits =
        earlier &&
        !replaced.has(earlier.id) &&
        earlier.visit === entry.visit &&
        earlier.teeth.join() === entry.teeth.join();
      if (!fits)
        context.addIssue({
          code: 'custom',
          path: [i, 'replaces'],
          message: 'an earlier entry of the same contact and visit, not yet replaced',
        });
      replaced.add(entry.replaces);
    }
  });

export const overridesSchema: z.ZodType<readonly CuttingOverride[]> = z.array(
  z.strictObject({
    givenAt: z.iso.datetime(),
    reason: z.string().trim().min(1).max(2000),
    followUps: z.int().min(0),
    neededMm: number.min(-200).max(200),
    neededSdMm: number.min(0).max(200),
  }),
);

export const closureSchema: z.ZodType<ClosureSettings> = z.strictObject({
  overCorrectionMm: number.min(0).max(2),
  contacts: uniqueBy(contact, (teeth) => teeth.join('-')).nullable(),
});

const estimate: z.ZodType<Estimate> = z.strictObject({
  valueMm: number.min(-1000).max(1000),
  sdMm: atLeastZeroMm,
});
const doubts = z.array(z.string().max(500)).max(50);
const vector = z.tuple([number, number, number]);

const toothChangeSchema: z.ZodType<ToothChange> = z.strictObject({
  tooth,
  widthChange: estimate.nullable(),
  enamelGone: z.tuple([estimate.nullable(), estimate.nullable()]),
  movedMm: vector,
  movedSdMm: atLeastZeroMm,
  turnedRad: vector,
  turnedSdRad: number.min(0).max(10),
  residualRmsMm: atLeastZeroMm,
  doubts,
});

const contactChangeSchema: z.ZodType<ContactChange> = z.strictObject({
  teeth: contact,
  separationBefore: estimate.nullable(),
  separationAfter: estimate.nullable(),
  enamelGone: estimate.nullable(),
  doubts,
});

const measureSchema: z.ZodType<FollowUpMeasure> = z.strictObject({
  jaw,
  earlierSha256: sha256,
  laterSha256: sha256,
  teeth: uniqueBy(toothChangeSchema, (change) => change.tooth),
  contacts: uniqueBy(contactChangeSchema, (change) => change.teeth.join('-')),
  reference: z.strictObject({
    kind: z.enum(['palate', 'teeth']),
    teeth: uniqueBy(tooth, (t) => t),
    rmsMm: atLeastZeroMm,
  }),
  residualRmsMm: atLeastZeroMm,
  matchedRatio: ratio,
});

/** A follow-up measure names the two scans it compared; one of other scans is refused. */
export const followUpsSchema = (
  scan: z.ZodType<ScanFacts>,
  mark: z.ZodType<PlacedMark>,
): z.ZodType<readonly FollowUpRecord[]> =>
  uniqueBy(
    z
      .strictObject({
        scan,
        date,
        afterVisit: z.int().min(0).max(VISITS_MAX),
        medianEdgeMm: number.gt(0).max(1000),
        frame: archFrameSchema,
        measure: measureSchema.nullable(),
        marks: uniqueBy(mark, markKey),
      })
      .refine((record) => record.measure === null || record.measure.laterSha256 === record.scan.sha256, {
        message: 'the checksum of the scan it stands with',
        path: ['measure', 'laterSha256'],
      }),
    (record) => record.scan.sha256,
  ).max(100);

type Path = (string | number)[];

/** Every tooth the visits of a record name, with the path at which it stands. */
export function* teethOfVisits(record: ArchRecord): Generator<readonly [Tooth, Path]> {
  for (const [i, entry] of (record.visits ?? []).entries()) yield [entry.teeth[0], ['visits', i, 'teeth', 0]];
  for (const [i, teeth] of (record.closure?.contacts ?? []).entries())
    yield [teeth[0], ['closure', 'contacts', i, 0]];
  for (const [f, followUp] of (record.followUps ?? []).entries()) {
    for (const [m, mark] of followUp.marks.entries())
      yield [mark.tooth, ['followUps', f, 'marks', m, 'tooth']];
    for (const [t, change] of (followUp.measure?.teeth ?? []).entries())
      yield [change.tooth, ['followUps', f, 'measure', 'teeth', t, 'tooth']];
    for (const [c, change] of (followUp.measure?.contacts ?? []).entries())
      yield [change.teeth[0], ['followUps', f, 'measure', 'contacts', c, 'teeth', 0]];
  }
}

/** What the follow-ups of a record name that its first scan and jaw contradict, with the path. */
export function* faultsOfFollowUps(record: {
  readonly jaw: Jaw;
  readonly scan: ScanFacts;
  readonly followUps?: readonly FollowUpRecord[];
}): Generator<readonly [string, Path]> {
  for (const [f, { measure }] of (record.followUps ?? []).entries()) {
    if (measure && measure.jaw !== record.jaw) yield [`${record.jaw}`, ['followUps', f, 'measure', 'jaw']];
    if (measure && measure.earlierSha256 !== record.scan.sha256)
      yield ['the checksum of the first scan', ['followUps', f, 'measure', 'earlierSha256']];
  }
}
