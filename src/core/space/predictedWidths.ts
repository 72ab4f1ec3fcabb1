import type { Source } from '../base/Source.ts';
import { type Jaw, positionOf, quadrantOf, type Tooth } from '../base/tooth.ts';
import type { WidthPrediction } from './Ledger.ts';
import { MOYERS_SOURCE, moyersRangeMm, moyersSumMm } from './moyersTable.ts';
import type { ToothWidth } from './toothSizeRatios.ts';

/** Sum of canine and premolars of one side as a line in the lower incisor sum. */
export interface WidthRegression {
  readonly id: string;
  readonly title: string;
  readonly upper: readonly [interceptMm: number, slope: number];
  readonly lower: readonly [interceptMm: number, slope: number];
  readonly sdMm: readonly [upper: number, lower: number];
  readonly source: Source;
}

/** Standard errors of estimate of Tanaka & Johnston 1974 (from memory, unverified); used where a paper's own is not at hand. */
const TANAKA_JOHNSTON_SEE_MM = [0.86, 0.85] as const;
const PAPER = 'Tanaka MM, Johnston LE, J Am Dent Assoc 1974;88:798–801';
const BORROWED = '; SD of Tanaka & Johnston 1974 used, from memory';

export const WIDTH_REGRESSIONS: readonly WidthRegression[] = [
  {
    id: 'tanaka-johnston',
    title: 'Tanaka–Johnston: half the lower incisors + 11.0 (upper) or 10.5 mm (lower)',
    upper: [11.0, 0.5],
    lower: [10.5, 0.5],
    sdMm: TANAKA_JOHNSTON_SEE_MM,
    source: { standing: 'secondary', text: `${PAPER}; SD from memory, unverified` },
  },
  {
    id: 'tanaka-johnston-regression',
    title: 'Tanaka–Johnston regression',
    upper: [10.41, 0.51],
    lower: [9.18, 0.54],
    sdMm: TANAKA_JOHNSTON_SEE_MM,
    source: { standing: 'memory', text: `${PAPER}; equations from memory, unverified` },
  },
  {
    id: 'philip-2010-men',
    title: 'Philip 2010, Indian sample, men',
    upper: [7.15, 0.67],
    lower: [5.55, 0.71],
    sdMm: TANAKA_JOHNSTON_SEE_MM,
    source: {
      standing: 'published',
      text: `Philip NI et al., Am J Orthod Dentofacial Orthop 2010;138:339–345${BORROWED}`,
    },
  },
  {
    id: 'philip-2010-women',
    title: 'Philip 2010, Indian sample, women',
    upper: [7.44, 0.65],
    lower: [6.15, 0.67],
    sdMm: TANAKA_JOHNSTON_SEE_MM,
    source: {
      standing: 'published',
      text: `Philip NI et al., Am J Orthod Dentofacial Orthop 2010;138:339–345${BORROWED}`,
    },
  },
  {
    id: 'spain-2015-women',
    title: 'Spanish sample 2015, women',
    upper: [12.06, 0.43],
    lower: [10.71, 0.46],
    sdMm: TANAKA_JOHNSTON_SEE_MM,
    source: { standing: 'published', text: `Head Face Med 2015;11:8${BORROWED}` },
  },
];

/** SD of the difference between a tooth and its fellow on the other side; our assumption, no source. */
export const ANTIMERE_SD_MM = 0.2;

/** Widths predicted together, with how they hang on measured ones: d(sum) / d(width of a measured tooth). */
export interface PredictedWidths {
  readonly teeth: readonly Tooth[];
  readonly sumMm: number;
  readonly ownSdMm: number; // of the prediction itself
  readonly slopes: readonly { readonly tooth: Tooth; readonly slope: number }[];
  readonly source: Source;
  readonly what: string;
}

export interface PredictionFailure {
  readonly teeth: readonly Tooth[];
  readonly missing: string;
}

const LOWER_INCISORS: readonly Tooth[] = [42, 41, 31, 32];
const Z_95 = 1.6448536269514722;

/**
 * Widths of unerupted teeth of one side by the chosen method.
 *
 * Shape:    `unerupted`: teeth of one quadrant without a width; the tables give canine and both premolars together,
 *           so of a group partly erupted the rest is the sum less what is measured.
 * Units:    mm. SD: half the spread between the 5 and 95 % levels over 1.645 (Moyers), standard error of estimate
 *           (regressions), ANTIMERE_SD_MM (antimere).
 * Missing:  outside the table, without lower incisors, or a tooth the method does not know: says what is wanting.
 */
export function predictedWidths(
  unerupted: readonly Tooth[],
  jaw: Jaw,
  prediction: WidthPrediction | null,
  known: readonly ToothWidth[],
  absent: readonly Tooth[] = [],
): PredictedWidths | PredictionFailure {
  const names = unerupted.join(', ');
  if (!prediction)
    return { teeth: unerupted, missing: `width of ${names} (enter it or choose a prediction)` };
  if (prediction.method === 'antimere') return fromAntimeres(unerupted, known);
  const quadrant = quadrantOf(unerupted[0]);
  const group = [3, 4, 5].map((position) => quadrant * 10 + position);
  const outside = unerupted.filter((tooth) => positionOf(tooth) < 3 || positionOf(tooth) > 5);
  if (outside.length > 0)
    return {
      teeth: unerupted,
      missing: `width of ${outside.join(', ')} (the tables predict canines and premolars only)`,
    };
  const gone = group.filter((tooth) => absent.includes(tooth) && !known.some((w) => w.tooth === tooth));
  if (gone.length > 0)
    return {
      teeth: unerupted,
      missing: `width of ${names} (the tables predict three teeth together, ${gone.join(', ')} is absent)`,
    };
  const incisors = LOWER_INCISORS.map((tooth) => known.find((w) => w.tooth === tooth));
  const unknown = LOWER_INCISORS.filter((_, i) => !incisors[i]);
  if (unknown.length > 0)
    return {
      teeth: unerupted,
      missing: `width of ${unknown.join(', ')} (lower incisors, to predict ${names})`,
    };
  const incisorsMm = incisors.reduce((sum, w) => sum + w!.widthMm, 0);
  const predicted = groupSum(incisorsMm, jaw, prediction);
  if ('missing' in predicted)
    return { teeth: unerupted, missing: `width of ${names} (${predicted.missing})` };
  const erupted = group.flatMap((tooth) => known.find((w) => w.tooth === tooth) ?? []);
  return {
    teeth: unerupted,
    sumMm: predicted.sumMm - erupted.reduce((sum, w) => sum + w.widthMm, 0),
    ownSdMm: predicted.sdMm,
    slopes: [
      ...LOWER_INCISORS.map((tooth) => ({ tooth, slope: predicted.slope })),
      ...erupted.map((w) => ({ tooth: w.tooth, slope: -1 })),
    ],
    source: predicted.source,
    what: predicted.what,
  };
}

function groupSum(
  incisorsMm: number,
  jaw: Jaw,
  prediction: Exclude<WidthPrediction, { method: 'antimere' }>,
): { sumMm: number; sdMm: number; slope: number; source: Source; what: string } | { missing: string } {
  if (prediction.method === 'regression') {
    const line = WIDTH_REGRESSIONS.find((regression) => regression.id === prediction.id);
    if (!line) return { missing: `“${prediction.id}” is no known prediction` };
    const [intercept, slope] = line[jaw];
    const sdMm = line.sdMm[jaw === 'upper' ? 0 : 1];
    return { sumMm: intercept + slope * incisorsMm, sdMm, slope, source: line.source, what: line.title };
  }
  const { percentile } = prediction;
  const found = moyersSumMm(incisorsMm, jaw, percentile);
  if (!found) {
    const [low, high] = moyersRangeMm(percentile);
    return {
      missing: `lower incisors sum to ${incisorsMm.toFixed(2)} mm, outside the table’s ${low.toFixed(1)} to ${high.toFixed(1)} mm at ${percentile} %`,
    };
  }
  // Above 25 mm only the 75 % level is printed; the spread hardly changes along the table, so its end is used.
  const within = Math.min(incisorsMm, moyersRangeMm(95)[1]);
  const spread = moyersSumMm(within, jaw, 95)!.sumMm - moyersSumMm(within, jaw, 5)!.sumMm;
  return { ...found, sdMm: spread / (2 * Z_95), source: MOYERS_SOURCE, what: `Moyers, ${percentile} %` };
}

const antimereOf = (tooth: Tooth): Tooth => tooth + ([10, -10, 10, -10][quadrantOf(tooth) - 1] ?? 0);

function fromAntimeres(
  unerupted: readonly Tooth[],
  known: readonly ToothWidth[],
): PredictedWidths | PredictionFailure {
  const fellows = unerupted.map((tooth) => known.find((w) => w.tooth === antimereOf(tooth)));
  const unknown = unerupted.filter((_, i) => !fellows[i]);
  if (unknown.length > 0)
    return {
      teeth: unerupted,
      missing: `width of ${unknown.join(', ')} (${unknown.map(antimereOf).join(', ')} on the other side is not measured)`,
    };
  return {
    teeth: unerupted,
    sumMm: fellows.reduce((sum, w) => sum + w!.widthMm, 0),
    ownSdMm: ANTIMERE_SD_MM * Math.sqrt(unerupted.length),
    slopes: fellows.map((w) => ({ tooth: w!.tooth, slope: 1 })),
    source: {
      standing: 'practice',
      text: 'as wide as the same tooth of the other side; common practice, no source',
    },
    what: 'same tooth of the other side',
  };
}
