import type { Source } from '../base/Source.ts';
import { archOrder, positionOf, quadrantOf, type Tooth } from '../base/tooth.ts';
import type { ArchMeasures, Estimate } from '../measure/ArchMeasures.ts';
import { allowanceAmount } from './allowanceAmount.ts';
import type { Allowance, Ledger, LedgerEntry, PerimeterMethod, WidthPrediction } from './Ledger.ts';
import { type Dependence, sharedVariance } from './ledgerVariance.ts';
import { perimeterWidthCovariance } from './perimeterWidthCovariance.ts';
import { pointsInWords } from './pointsInWords.ts';
import { type PredictedWidths, predictedWidths } from './predictedWidths.ts';
import type { ToothWidth } from './toothSizeRatios.ts';

/** What a space account is made of. The chart is the part of a tooth chart that says which teeth need space. */
export interface SpaceInput {
  readonly measures: ArchMeasures;
  readonly chart: {
    readonly missing: readonly Tooth[];
    readonly unerupted: readonly Tooth[];
    readonly enteredWidths: readonly ToothWidth[];
  };
  readonly perimeter: PerimeterMethod;
  readonly allowances: readonly Allowance[];
  readonly prediction?: WidthPrediction | null; // null or left out: unerupted teeth need an entered width
  readonly opposing?: ArchMeasures | null; // lends the lower incisors to predict upper widths
}

const PERIMETERS: Readonly<Record<PerimeterMethod, { readonly id: string; readonly what: string }>> = {
  line: { id: 'arch-line', what: 'Arch line, first molar to first molar' },
  'four-segments': { id: 'four-segments', what: 'Four straight segments, first molar to first molar' },
  'six-segments': { id: 'six-segments', what: 'Six straight segments, first molar to first molar' },
};

/** Against generated arches with true marks: line −0.07 (SD 0.08) mm, segments off by up to 2.7 mm. */
const SEGMENTS_NOTE =
  'the corners are marks of single teeth: a displaced canine or incisor bends the pieces and can put them off by millimetres';

/**
 * What a perimeter offers straight teeth: of the arch line its length less what the curve exceeds teeth set along it
 * by. How that excess changes with the marks is left out of the SD: 0.2 to 0.3 mm in all, it hardly does.
 */
function availableMm(measures: ArchMeasures, method: PerimeterMethod): number | null {
  const length = perimeterOf(measures, method);
  if (!length) return null;
  return method === 'line' && measures.line ? length.valueMm - measures.line.chordExcessMm : length.valueMm;
}

function perimeterNote({ line }: ArchMeasures, method: PerimeterMethod): string | null {
  if (method !== 'line') return SEGMENTS_NOTE;
  if (!line) return null;
  return `${line.length.valueMm.toFixed(2)} mm, less ${line.chordExcessMm.toFixed(2)} mm that its curve adds over straight teeth`;
}

/** Teeth that share the space between the mesial contact points of the first molars. */
const LAST_POSITION = 5;

/**
 * Space account of one arch: available − required ± allowances, entry by entry.
 *
 * Units:    mm; what adds space is positive, so the entries add up to `differenceMm`; negative is a shortage.
 * Teeth:    present teeth mesial to the first molars count by their width; an unerupted one by its entered or
 *           predicted width; a missing one not at all unless a width is entered for it (space kept for a replacement).
 * Missing:  an entry without its figures is null and says what is wanting, and so then is the balance.
 * Accuracy: SD first-order, with the correlation of widths, arch length and predictions that share marks; within
 *           0.1 % of remeasuring with every mark moved — tests/core/space/spaceLedger.test.ts.
 */
export function spaceLedger(input: SpaceInput): Ledger {
  const { measures } = input;
  const widths = knownWidths(input);
  const drafts = [perimeterDraft(input), ...widthDrafts(input, widths), ...allowanceDrafts(input)];
  const shares = sharedVariance(
    drafts.map((draft) => draft.dependence),
    {
      widthSdMm: (tooth) => widths.find((w) => w.tooth === tooth)?.sdMm ?? 0,
      perimeterSdMm: perimeterOf(measures, input.perimeter)?.sdMm ?? 0,
      covarianceMm2: perimeterWidthCovariance(measures, input.perimeter),
    },
  );
  const missing = drafts.flatMap((draft) => draft.missing ?? []);
  const complete = missing.length === 0;
  const entries = drafts.map(({ dependence: _, ...draft }, i): LedgerEntry => {
    const known = draft.amountMm !== null;
    return {
      ...draft,
      sdMm: known ? Math.sqrt(shares.varianceOf[i]) : null,
      varianceShare: complete && shares.totalVariance > 0 ? shares.partOf[i] / shares.totalVariance : null,
    };
  });
  const required = entries.filter((entry) => entry.id.startsWith('widths'));
  return {
    jaw: measures.jaw,
    entries,
    availableMm: entries[0].amountMm,
    requiredMm: required.every((entry) => entry.amountMm !== null)
      ? required.reduce((sum, entry) => sum - entry.amountMm!, 0)
      : null,
    differenceMm: complete ? entries.reduce((sum, entry) => sum + entry.amountMm!, 0) : null,
    sdMm: complete ? Math.sqrt(shares.totalVariance) : null,
    missing,
  };
}

type Draft = Omit<LedgerEntry, 'sdMm' | 'varianceShare'> & { readonly dependence: Dependence };

function perimeterOf(measures: ArchMeasures, method: PerimeterMethod): Estimate | null {
  if (method === 'line') return measures.line?.length ?? null;
  return method === 'four-segments' ? measures.fourSegments : measures.sixSegments;
}

function perimeterDraft({ measures, perimeter }: SpaceInput): Draft {
  const length = perimeterOf(measures, perimeter);
  const { id, what } = PERIMETERS[perimeter];
  const form =
    perimeter === 'line' && measures.line ? `arch line (${measures.line.form})` : what.toLowerCase();
  return {
    id,
    what,
    amountMm: availableMm(measures, perimeter),
    source: {
      standing: 'measured',
      text: `${form} through the ${pointsInWords(measures, perimeterTeeth(measures))}`,
    },
    editable: false,
    missing: length ? null : `contact points for the ${what.toLowerCase()}`,
    evidenceTeeth: perimeterTeeth(measures),
    note: perimeterNote(measures, perimeter),
    dependence: { perimeter: 1, widths: new Map(), ownSdMm: 0 },
  };
}

/** Teeth whose marks an arch length rests on: all marked teeth up to the first molars. */
const perimeterTeeth = (measures: ArchMeasures): readonly Tooth[] =>
  measures.teeth.filter((t) => t.mesialMm && positionOf(t.tooth) <= 6).map((t) => t.tooth);

/** Widths at hand, of this arch and, for predictions, of the opposing one; measured before merely entered. */
function knownWidths({ measures, chart, opposing }: SpaceInput): readonly ToothWidth[] {
  const measured = measures.teeth;
  const entered = chart.enteredWidths.filter((w) => !measured.some((t) => t.tooth === w.tooth));
  return [...measured, ...entered, ...(opposing?.teeth ?? [])];
}

function widthDrafts(input: SpaceInput, widths: readonly ToothWidth[]): readonly Draft[] {
  const { measures, chart } = input;
  const spanned = archOrder(measures.jaw).filter((tooth) => positionOf(tooth) <= LAST_POSITION);
  const isKnown = (tooth: Tooth) => widths.some((w) => w.tooth === tooth);
  const counted = spanned.filter(isKnown);
  const gone = spanned.filter((tooth) => !isKnown(tooth) && chart.missing.includes(tooth));
  const unerupted = spanned.filter((tooth) => !isKnown(tooth) && chart.unerupted.includes(tooth));
  const unknown = spanned.filter((t) => !isKnown(t) && !gone.includes(t) && !unerupted.includes(t));
  const sum = counted.reduce((total, tooth) => total + widths.find((w) => w.tooth === tooth)!.widthMm, 0);
  const measured: Draft = {
    id: 'widths',
    what: `Widths of ${counted.length + unknown.length} teeth mesial to the first molars`,
    amountMm: unknown.length === 0 ? -sum + 0 : null,
    source: widthSource(measures, counted),
    editable: false,
    missing: unknown.length === 0 ? null : `width of ${unknown.join(', ')}`,
    evidenceTeeth: counted,
    note: gone.length > 0 ? `no space kept for missing ${gone.join(', ')}` : null,
    dependence: { perimeter: 0, widths: new Map(counted.map((tooth) => [tooth, -1])), ownSdMm: 0 },
  };
  return [measured, ...predictedDrafts(input, unerupted, widths)];
}

function widthSource(measures: ArchMeasures, counted: readonly Tooth[]): Source {
  const marked = (tooth: Tooth) => measures.teeth.some((t) => t.tooth === tooth && t.mesialMm !== null);
  const entered = counted.filter((tooth) => !marked(tooth));
  const points = pointsInWords(measures, counted);
  if (entered.length === 0) return { standing: 'measured', text: points };
  if (entered.length === counted.length) return { standing: 'user', text: 'widths entered by hand' };
  return {
    standing: 'measured',
    text: `${points}; ${entered.join(', ')} entered by hand`,
  };
}

function predictedDrafts(
  { measures, chart, prediction }: SpaceInput,
  unerupted: readonly Tooth[],
  widths: readonly ToothWidth[],
): readonly Draft[] {
  if (unerupted.length === 0) return [];
  const quadrants = [...new Set(unerupted.map(quadrantOf))];
  const results = quadrants.map((quadrant) =>
    predictedWidths(
      unerupted.filter((tooth) => quadrantOf(tooth) === quadrant),
      measures.jaw,
      prediction ?? null,
      widths,
      chart.missing,
    ),
  );
  const found = results.filter((result): result is PredictedWidths => !('missing' in result));
  const wanting = results.flatMap((result) => ('missing' in result ? result.missing : []));
  const slopes = new Map<Tooth, number>();
  for (const { tooth, slope } of found.flatMap((result) => result.slopes))
    slopes.set(tooth, (slopes.get(tooth) ?? 0) - slope);
  const complete = wanting.length === 0;
  const draft: Draft = {
    id: 'widths-predicted',
    what: `Predicted widths of unerupted ${unerupted.join(', ')}${found[0] ? ` (${found[0].what})` : ''}`,
    amountMm: complete ? -found.reduce((sum, result) => sum + result.sumMm, 0) + 0 : null,
    source: found[0]?.source ?? { standing: 'user', text: 'no prediction chosen' },
    editable: true,
    missing: complete ? null : wanting.join('; '),
    evidenceTeeth: [...slopes.keys()],
    note:
      found.length > 1
        ? 'the errors of the two sides are taken as equal, as antimeres resemble each other'
        : null,
    dependence: {
      perimeter: 0,
      widths: slopes,
      ownSdMm: found.reduce((sum, result) => sum + result.ownSdMm, 0),
    },
  };
  return [draft];
}

function allowanceDrafts({ measures, allowances }: SpaceInput): readonly Draft[] {
  return allowances.map((allowance, i): Draft => {
    const earlier = allowances.slice(0, i).filter((other) => other.kind === allowance.kind).length;
    const { sdMm, ...amount } = allowanceAmount(allowance, measures.jaw, measures);
    return {
      id: earlier === 0 ? allowance.kind : `${allowance.kind}-${earlier + 1}`,
      ...amount,
      editable: true,
      evidenceTeeth: [],
      dependence: { perimeter: 0, widths: new Map(), ownSdMm: sdMm ?? 0 },
    };
  });
}
