import { type ArchFrame, sideways } from '../arch/ArchFrame.ts';
import { archOrder, archPlace, isRight, positionOf } from '../base/tooth.ts';
import { add, scale, type Vec3 } from '../base/Vec3.ts';
import type {
  ArchForm,
  ArchMeasures,
  MarkInfluence,
  MeasureInput,
  MeasureWarning,
  ToothMeasure,
} from './ArchMeasures.ts';
import { archDepth } from './archDepth.ts';
import { archLines, type FittedLine, linePoints } from './archLine.ts';
import { type ArchMark, type ArchMarks, archMarks, toothAt } from './archMarks.ts';
import { archSegments, type MarkedLength } from './archSegments.ts';
import { archWidths } from './archWidths.ts';
import { contactMeasures, exchangedSites } from './contactMeasures.ts';
import { irregularity, irregularityGrade } from './irregularity.ts';
import { midlineAndAsymmetry } from './midlineAndAsymmetry.ts';
import { speeDepth } from './speeDepth.ts';
import { toothWidth } from './toothWidth.ts';
import { widthWarnings } from './widthWarnings.ts';

const ZERO: Vec3 = [0, 0, 0];
const FORMS = ['spline', 'polynomial4', 'polynomial6', 'beta', 'catenary', 'conic'] as const;

/** Widths of all teeth that are marked on both sides or entered by hand; an entered width holds over marks. */
function toothMeasures(input: MeasureInput, marks: ArchMarks) {
  const warnings: MeasureWarning[] = [];
  const entered = new Map(input.enteredWidths.map((e) => [e.tooth, e]));
  const teeth = [...new Set([...marks.teeth, ...entered.keys()])].sort(
    (a, b) => archPlace(a) - archPlace(b) || a - b,
  );
  const measured = teeth.flatMap((tooth): ToothMeasure[] => {
    const mesial = marks.find(tooth, 'mesial');
    const distal = marks.find(tooth, 'distal');
    const byMarks = mesial && distal ? toothWidth(mesial, distal) : null;
    const own = entered.get(tooth);
    if (own) {
      if (byMarks)
        warnings.push({
          code: 'width-entered-over-marks',
          message: `Tooth ${tooth} counts with its entered width ${own.widthMm.toFixed(2)} mm; its marks give ${byMarks.widthMm.toFixed(2)} mm.`,
          teeth: [tooth],
        });
      return [
        {
          tooth,
          widthMm: own.widthMm,
          widthOcclusalMm: null,
          sdMm: own.sdMm,
          mesialMm: mesial?.mark.pointMm ?? null,
          distalMm: distal?.mark.pointMm ?? null,
          source: 'entered',
          confidence: null,
        },
      ];
    }
    if (byMarks) return [byMarks];
    if (mesial || distal)
      warnings.push({
        code: 'width-missing',
        message: `Width of tooth ${tooth} needs its ${mesial ? 'distal' : 'mesial'} contact point.`,
        teeth: [tooth],
      });
    return [];
  });
  return { measured, warnings };
}

/** What the chart and the marks contradict each other about, and which teeth have no width at all. */
function chartWarnings(
  input: MeasureInput,
  marks: ArchMarks,
  measured: readonly ToothMeasure[],
): MeasureWarning[] {
  const warnings: MeasureWarning[] = [];
  const both = input.missing.filter((tooth) => marks.teeth.includes(tooth));
  if (both.length > 0)
    warnings.push({
      code: 'missing-but-marked',
      message: `Entered as missing, yet marked: ${both.join(', ')}. The marks hold; correct the chart or delete the marks.`,
      teeth: both,
    });
  const shared = marks.teeth.filter(
    (tooth, i) => i > 0 && archPlace(marks.teeth[i - 1]) === archPlace(tooth),
  );
  for (const tooth of shared)
    warnings.push({
      code: 'place-shared',
      message: `Tooth ${tooth} stands at the place of another marked tooth; contacts are taken from the permanent one.`,
      teeth: [tooth],
    });
  const taken = new Set([...marks.teeth, ...input.missing, ...measured.map((t) => t.tooth)].map(archPlace));
  const unmeasured = archOrder(input.jaw).filter(
    (tooth) => positionOf(tooth) <= 6 && !taken.has(archPlace(tooth)),
  );
  if (unmeasured.length > 0)
    warnings.push({
      code: 'teeth-not-marked',
      message: `Neither marked, entered nor missing: ${unmeasured.join(', ')}. Mark them, or enter them as missing.`,
      teeth: unmeasured,
    });
  return warnings;
}

const inScan = (frame: ArchFrame, [x, y, z]: Vec3): Vec3 =>
  add(add(scale(sideways(frame), x), scale(frame.forward, y)), scale(frame.occlusal, z));

function influences(
  frame: ArchFrame,
  marks: ArchMarks,
  measured: readonly ToothMeasure[],
  lengths: readonly [FittedLine | null, MarkedLength | null, MarkedLength | null],
): readonly MarkInfluence[] {
  const order = marks.teeth.flatMap((tooth): ArchMark[] => {
    const sites = isRight(tooth) ? (['distal', 'mesial'] as const) : (['mesial', 'distal'] as const);
    return sites.flatMap((site) => marks.find(tooth, site) ?? []);
  });
  const from = (length: (typeof lengths)[number], mark: ArchMark): Vec3 => {
    const i = length ? length.marks.indexOf(mark) : -1;
    return length && i >= 0 ? inScan(frame, length.gradients[i]) : ZERO;
  };
  return order.map((mark) => {
    const mesiodistal = mark.along ? inScan(frame, mark.along) : null;
    const counts = measured.some((t) => t.tooth === mark.tooth && t.source !== 'entered');
    return {
      tooth: mark.tooth,
      site: mark.site as 'mesial' | 'distal',
      mesiodistal,
      sdAlongMm: mark.sdAlongMm,
      sdAcrossMm: mark.sdAcrossMm,
      width: counts && mesiodistal ? scale(mesiodistal, mark.site === 'distal' ? 1 : -1) : ZERO,
      line: from(lengths[0], mark),
      fourSegments: from(lengths[1], mark),
      sixSegments: from(lengths[2], mark),
    };
  });
}

function lineWarnings(
  input: MeasureInput,
  marks: ArchMarks,
  lines: readonly FittedLine[] | null,
  forms?: ReadonlySet<ArchForm>,
): MeasureWarning[] {
  if (!lines) {
    const ends = (['right', 'left'] as const).map((side) => toothAt(input.jaw, side, 6));
    const missing = ends.filter((tooth) => !marks.find(tooth, 'mesial'));
    return [
      {
        code: 'line-missing',
        message: `Arch line needs the mesial contact point of ${missing.join(' and ')}.`,
        teeth: missing,
      },
    ];
  }
  const wanted = FORMS.filter((form) => !forms || forms.has(form));
  return wanted
    .filter((form) => !lines.some((l) => l.line.form === form))
    .map((form) => ({
      code: 'form-not-fitted',
      message: `Arch line in the form ${form} cannot be fitted${form === 'beta' ? ' (it needs a contact point on both second molars)' : ''}. ${form === input.form ? 'Choose another form, or mark more teeth.' : 'Other forms are not touched by this.'}`,
    }));
}

/**
 * Everything that can be measured from the marks of one arch, each number with its SD and its evidence. What
 * cannot be had is null, and a warning names what is missing. Pure: same marks, same bits, in any order.
 *
 * Units:    mm in, mm out; scan frame points.
 * Refuses:  'tooth-unknown', 'jaw-mismatch', 'marks-coincide', 'number-invalid', 'field-invalid' (a mark twice).
 * Accuracy: per measure, see each; whole arches against truth — tests/core/measure/samples.test.ts.
 */
export function measureArch(input: MeasureInput): ArchMeasures {
  const { jaw, frame } = input;
  const marks = archMarks(input);
  const { measured, warnings: widthsMissing } = toothMeasures(input, marks);
  const points = linePoints(jaw, marks);
  const some = input.forms && new Set([...input.forms, input.form]);
  const fewer = points && archLines(points, some);
  const chosen = fewer?.find((l) => l.line.form === input.form) ?? null;
  // Without the chosen form contacts are ordered along another: then all are needed.
  const forms = chosen ? some : undefined;
  const fitted = points && some && !chosen ? archLines(points) : fewer;
  const anyLine = chosen ?? fitted?.[0] ?? null;
  const contacts = contactMeasures(input, marks, anyLine);
  const index = irregularity(jaw, contacts.contacts);
  const four = archSegments(jaw, marks, 4);
  const six = archSegments(jaw, marks, 6);
  const depth = archDepth(jaw, marks);
  const across = archWidths(jaw, marks);
  const spee = speeDepth(jaw, marks);
  const symmetry = midlineAndAsymmetry(jaw, marks);
  const plain = (length: MarkedLength | null) => length && { valueMm: length.valueMm, sdMm: length.sdMm };
  return {
    jaw,
    frame,
    teeth: measured,
    contacts: contacts.contacts,
    gaps: contacts.gaps,
    line: chosen?.line ?? null,
    lines: fitted?.map((l) => l.line) ?? [],
    fourSegments: plain(four.length),
    sixSegments: plain(six.length),
    irregularity: index.index,
    irregularityGrade: index.index && irregularityGrade(index.index.valueMm),
    depth: depth.depth,
    intercanine: across.intercanine,
    interpremolar: across.interpremolar,
    intermolar: across.intermolar,
    speeDepthRight: spee.right,
    speeDepthLeft: spee.left,
    midlineOffset: symmetry.midlineOffset,
    asymmetry: symmetry.asymmetry,
    gradients: influences(frame, marks, measured, [chosen, four.length, six.length]),
    warnings: [
      ...chartWarnings(input, marks, measured),
      ...widthsMissing,
      ...widthWarnings(measured),
      ...lineWarnings(input, marks, fitted, forms),
      ...(anyLine ? exchangedSites(marks, anyLine) : []),
      ...contacts.warnings,
      ...index.warnings,
      ...four.warnings,
      ...six.warnings,
      ...depth.warnings,
      ...across.warnings,
      ...spee.warnings,
      ...symmetry.warnings,
    ],
  };
}
