import type { ArchMeasures, MeasureWarning } from '../measure/ArchMeasures.ts';
import type { ScanFacts } from '../scan/ScanMesh.ts';
import type { Ledger } from '../space/Ledger.ts';
import type { MeasuredArch, MeasurementFile } from './measurementSchema.ts';

/** The warnings that say why a figure of the arch is null. */
const WHY_NULL: Readonly<Record<keyof Omit<MeasuredArch, 'form'>, readonly string[]>> = {
  lineLengthMm: ['line-missing', 'form-not-fitted'],
  fitRmsMm: ['line-missing', 'form-not-fitted'],
  fourSegmentsMm: ['four-segments-missing'],
  sixSegmentsMm: ['six-segments-missing'],
  irregularityMm: ['irregularity-missing'],
  depthMm: ['depth-missing'],
  intercanineMm: ['intercanine-missing'],
  intermolarMm: ['intermolar-missing'],
};

/**
 * What was measured on one arch as `measurement@1`. A figure that could not be had is null, never 0, and at
 * least one warning says why.
 * Units: mm; points in the scan frame.
 */
export function measurementFile(
  measures: ArchMeasures,
  scan: Pick<ScanFacts, 'file' | 'sha256' | 'triangles' | 'vertices'>,
  ledger: Ledger,
  form: MeasuredArch['form'],
  remarks: readonly Pick<MeasureWarning, 'code' | 'message'>[] = [],
): MeasurementFile {
  const arch: MeasuredArch = {
    lineLengthMm: measures.line?.length.valueMm ?? null,
    form,
    fitRmsMm: measures.line?.fitRmsMm ?? null,
    fourSegmentsMm: measures.fourSegments?.valueMm ?? null,
    sixSegmentsMm: measures.sixSegments?.valueMm ?? null,
    irregularityMm: measures.irregularity?.valueMm ?? null,
    depthMm: measures.depth?.valueMm ?? null,
    intercanineMm: measures.intercanine?.valueMm ?? null,
    intermolarMm: measures.intermolar?.valueMm ?? null,
  };
  const contacts = measures.contacts.map(({ teeth, separation, displacement }) => ({
    teeth,
    separationMm: separation?.valueMm ?? null,
    displacementMm: displacement?.valueMm ?? null,
  }));
  const { availableMm, requiredMm, differenceMm, sdMm } = ledger;
  const space = { availableMm, requiredMm, differenceMm, sdMm };
  const warnings = [...measures.warnings, ...remarks].map(({ code, message }) => ({ code, message }));
  const isSaid = (codes: readonly string[]) => warnings.some(({ code }) => codes.includes(code));
  for (const [field, codes] of Object.entries(WHY_NULL)) {
    if (arch[field as keyof typeof WHY_NULL] === null && !isSaid(codes))
      warnings.push({ code: codes[0], message: `${field} could not be had from the marks at hand.` });
  }
  for (const { teeth, separationMm, displacementMm } of contacts) {
    if ((separationMm === null || displacementMm === null) && !isSaid(['contact-missing']))
      warnings.push({
        code: 'contact-missing',
        message: `Contact ${teeth.join('–')} could not be measured.`,
      });
  }
  if (Object.values(space).includes(null))
    warnings.push({
      code: 'space-missing',
      message: `The space account is not complete; missing: ${ledger.missing.join('; ') || 'its SD'}.`,
    });
  return {
    schema: 'archledger/measurement@1',
    scan: { file: scan.file, sha256: scan.sha256, triangles: scan.triangles, vertices: scan.vertices },
    jaw: measures.jaw,
    frame: measures.frame,
    teeth: measures.teeth.map((t) => ({
      tooth: t.tooth,
      widthMm: t.widthMm,
      widthOcclusalMm: t.widthOcclusalMm,
      sdMm: t.sdMm,
      mesialMm: t.mesialMm,
      distalMm: t.distalMm,
      source: t.source,
      confidence: t.confidence,
    })),
    contacts,
    arch,
    space,
    warnings,
  };
}
