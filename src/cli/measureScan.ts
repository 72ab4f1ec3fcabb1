import { type ArchFrameProposal, findArchFrame } from '../core/arch/findArchFrame.ts';
import { Refusal } from '../core/base/refusal.ts';
import { archOrder, type Jaw, permanentOf, positionOf, quadrantOf, type Tooth } from '../core/base/tooth.ts';
import { archAccount, recordMeasures } from '../core/casefile/archAccount.ts';
import type { ArchRecord } from '../core/casefile/CaseDocument.ts';
import { type MarksFile, marksIntoReading } from '../core/casefile/marksFile.ts';
import { measurementFile } from '../core/casefile/measurementFile.ts';
import type { MeasurementFile } from '../core/casefile/measurementSchema.ts';
import { newArchRecord } from '../core/casefile/newCase.ts';
import { checkedDocument } from '../core/casefile/readDocument.ts';
import type { PlacedMark, Reading } from '../core/marks/Mark.ts';
import { PRIMARY_DOUBT, proposeMarks } from '../core/marks/proposeMarks.ts';
import { surfaceSeparations } from '../core/marks/surfaceSeparations.ts';
import type { OpenedScan } from '../core/scan/openScan.ts';
import { unpackSurfaceIndex } from '../core/scan/surfaceIndex.ts';

/**
 * A mark further than this from the surface belongs to another scan or another unit. True contact points lie
 * under the web that a scanner draws across a tight contact, but never this deep.
 */
const MARK_OFF_SURFACE_MM = 3;

export interface MeasureAsked {
  readonly jaw: Jaw;
  readonly missing: readonly Tooth[];
  /** That stand, each in the place of its successor, which is yet to come. Default: none. */
  readonly primary?: readonly Tooth[];
  readonly range: readonly Tooth[] | null; // teeth that the scan holds; null: not said
  readonly marks: MarksFile | null; // null: proposed
}

/**
 * Measures an opened scan; what the command `measure` does once its file has been read.
 * Refuses: 'no-surface-near' (a mark off the scan); as findArchFrame, proposeMarks and measureArch.
 */
export function measureScan(scan: OpenedScan, asked: MeasureAsked): MeasurementFile {
  const { jaw, missing, primary = [], range, marks } = asked;
  const given = marks && marksIntoReading(marks, jaw);
  if (marks) checkOnSurface(scan, marks);
  const frame = findArchFrame(scan.mesh);
  const { reading, doubts } = given ? { reading: given, doubts: [] } : proposedReading(scan, frame, asked);
  const teeth = [...new Set(reading.marks.map((mark: PlacedMark) => mark.tooth))];
  const inRange = (tooth: Tooth) => range === null || tooth >= 50 || range.includes(tooth);
  const outside = teeth.filter((tooth) => !inRange(tooth));
  const record: ArchRecord = {
    ...newArchRecord({
      jaw,
      scan: scan.facts,
      medianEdgeMm: scan.shape.medianEdgeMm,
      frame: frame.frame,
      frameConfidence: frame.confidence,
    }),
    readings: [{ ...reading, marks: reading.marks.filter((mark) => inRange(mark.tooth)) }],
    chart: {
      missing,
      unerupted: primary.map(permanentOf),
      ...(primary.length > 0 ? { primary } : {}),
      thirdMolars: (range ?? teeth).filter((tooth) => positionOf(tooth) === 8),
      enteredWidths: [],
    },
  };
  const found = surfaceSeparations(
    unpackSurfaceIndex(scan.mesh, scan.index),
    record.frame,
    record.readings[0].marks,
  );
  const { measures, ledger } = archAccount(record, recordMeasures(record, found));
  const marked = new Set(measures.teeth.map((t) => t.tooth));
  const unmarked = (range ?? []).filter(
    (tooth) => positionOf(tooth) > 6 && !marked.has(tooth) && !missing.includes(tooth),
  );
  const remarks = [...scanRemarks(scan, frame), ...doubts, ...rangeRemarks(outside, unmarked)];
  const file = measurementFile(measures, scan.facts, ledger, record.form, remarks);
  return checkedDocument(file, 'measurement');
}

/** Marks proposed on the surface; teeth outside the range are not in the scan. */
function proposedReading(
  scan: OpenedScan,
  { frame }: ArchFrameProposal,
  { jaw, missing, primary = [], range }: MeasureAsked,
): { readonly reading: Reading; readonly doubts: readonly Remark[] } {
  const absent = archOrder(jaw).filter(
    (tooth) => missing.includes(tooth) || range?.includes(tooth) === false,
  );
  const said = {
    missing: [...absent, ...missing.filter((tooth) => quadrantOf(tooth) > 4)],
    unerupted: primary.map(permanentOf),
    primary,
    thirdMolars: (range ?? []).filter((tooth) => positionOf(tooth) === 8 && !missing.includes(tooth)),
  };
  const surface = unpackSurfaceIndex(scan.mesh, scan.index);
  const { marks, doubts, perhapsPrimary } = proposeMarks(surface, frame, jaw, said);
  return {
    reading: { observer: '', repeat: 1, marks },
    doubts: [
      {
        code: 'marks-proposed',
        message: `${marks.length} marks were proposed from the surface; nobody has looked at them.`,
      },
      ...(perhapsPrimary.length > 0 ? [primaryRemark(perhapsPrimary)] : []),
      ...doubts.flatMap(({ tooth, message }) =>
        message === PRIMARY_DOUBT
          ? []
          : [
              {
                code: 'proposal-doubtful',
                message: `Tooth ${tooth}: ${message}`,
              },
            ],
      ),
    ],
  };
}

const primaryRemark = (teeth: readonly Tooth[]): Remark => ({
  code: 'perhaps-primary',
  message: `By their widths primary teeth, yet taken for permanent ones: ${teeth.join(', ')}. If primary teeth stand, name them all with --primary (in a manifest: column primary); the second molars may lie outside the scan (--teeth 36-46).`,
});

function checkOnSurface({ mesh, index }: OpenedScan, { marks }: MarksFile): void {
  const surface = unpackSurfaceIndex(mesh, index);
  for (const { tooth, site, pointMm } of marks) {
    const distanceMm = surface.closestPoint(pointMm)?.distanceMm ?? Number.POSITIVE_INFINITY;
    if (distanceMm > MARK_OFF_SURFACE_MM)
      throw new Refusal(
        'no-surface-near',
        `measureScan: the ${site} mark of tooth ${tooth} is off the scan; got ${distanceMm.toFixed(1)} mm from the surface, need at most ${MARK_OFF_SURFACE_MM}. Give the marks made on this scan, in mm.`,
        { tooth, site, distanceMm },
      );
  }
}

type Remark = MeasurementFile['warnings'][number];

const scanRemarks = (scan: OpenedScan, frame: ArchFrameProposal): readonly Remark[] => [
  ...scan.findings.map(({ code, message }) => ({ code, message })),
  ...frame.warnings.map(({ code, message }) => ({ code, message })),
];

function rangeRemarks(outside: readonly Tooth[], unmarked: readonly Tooth[]): readonly Remark[] {
  const remarks: Remark[] = [];
  if (outside.length > 0)
    remarks.push({
      code: 'outside-range',
      message: `Marked, but outside --teeth and not measured: ${outside.join(', ')}.`,
    });
  if (unmarked.length > 0)
    remarks.push({
      code: 'teeth-not-marked',
      message: `Within --teeth, but neither marked nor missing: ${unmarked.join(', ')}.`,
    });
  return remarks;
}
