import { z } from 'zod';
import type { ArchFrame } from '../arch/ArchFrame.ts';
import type { Contact, Jaw, Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { ArchForm } from '../measure/ArchMeasures.ts';
import { archForm } from './caseSchema.ts';
import {
  archFrameSchema,
  atLeastZeroMm,
  contact,
  count,
  fileName,
  jaw,
  number,
  pointMm,
  ratio,
  sha256,
  tooth,
  uniqueBy,
} from './fields.ts';

/** `measurement@1`: everything measured on one arch; points in the scan frame, mm. Null: could not be had. */
export interface MeasurementFile {
  readonly schema: 'archledger/measurement@1';
  readonly scan: {
    readonly file: string;
    readonly sha256: string;
    readonly triangles: number;
    readonly vertices: number;
  };
  readonly jaw: Jaw;
  readonly frame: ArchFrame;
  readonly teeth: readonly MeasuredTooth[];
  readonly contacts: readonly MeasuredContact[];
  readonly arch: MeasuredArch;
  readonly space: {
    readonly availableMm: number | null;
    readonly requiredMm: number | null;
    readonly differenceMm: number | null; // available − required
    readonly sdMm: number | null;
  };
  readonly warnings: readonly { readonly code: string; readonly message: string }[];
}

export interface MeasuredTooth {
  readonly tooth: Tooth;
  readonly widthMm: number;
  readonly widthOcclusalMm: number | null;
  readonly sdMm: number;
  readonly mesialMm: Vec3 | null;
  readonly distalMm: Vec3 | null;
  readonly source: 'marked' | 'proposed' | 'entered';
  readonly confidence: number | null;
}

export interface MeasuredContact {
  readonly teeth: Contact;
  readonly separationMm: number | null;
  readonly displacementMm: number | null;
}

export interface MeasuredArch {
  readonly lineLengthMm: number | null;
  readonly form: ArchForm;
  readonly fitRmsMm: number | null;
  readonly fourSegmentsMm: number | null;
  readonly sixSegmentsMm: number | null;
  readonly irregularityMm: number | null;
  readonly depthMm: number | null;
  readonly intercanineMm: number | null;
  readonly intermolarMm: number | null;
}

const lengthMm = atLeastZeroMm.nullable();
const signedMm = number.min(-1000).max(1000).nullable();

export const measurementSchema: z.ZodType<MeasurementFile> = z.strictObject({
  schema: z.literal('archledger/measurement@1'),
  scan: z.strictObject({ file: fileName, sha256, triangles: count, vertices: count }),
  jaw,
  frame: archFrameSchema,
  teeth: uniqueBy<MeasuredTooth>(
    z.strictObject({
      tooth,
      widthMm: number.gt(0).max(1000),
      widthOcclusalMm: lengthMm,
      sdMm: atLeastZeroMm,
      mesialMm: pointMm.nullable(),
      distalMm: pointMm.nullable(),
      source: z.enum(['marked', 'proposed', 'entered']),
      confidence: ratio.nullable(),
    }),
    (measured) => measured.tooth,
  ),
  contacts: uniqueBy<MeasuredContact>(
    z.strictObject({ teeth: contact, separationMm: signedMm, displacementMm: lengthMm }),
    (measured) => measured.teeth.join('-'),
  ),
  arch: z.strictObject({
    lineLengthMm: lengthMm,
    form: archForm,
    fitRmsMm: lengthMm,
    fourSegmentsMm: lengthMm,
    sixSegmentsMm: lengthMm,
    irregularityMm: lengthMm,
    depthMm: lengthMm,
    intercanineMm: lengthMm,
    intermolarMm: lengthMm,
  }),
  space: z.strictObject({
    availableMm: signedMm,
    requiredMm: signedMm,
    differenceMm: signedMm,
    sdMm: lengthMm,
  }),
  warnings: z.array(z.strictObject({ code: z.string().min(1), message: z.string().min(1) })),
});
