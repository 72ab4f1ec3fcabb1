import type { Source } from '../base/Source.ts';
import type { Jaw } from '../base/tooth.ts';

/** What one study, or all of them rounded, found of the enamel taken against the enamel planned. */
export interface CuttingPrior {
  readonly id: string;
  readonly title: string;
  /** Performed ÷ planned. */
  readonly ratio: Readonly<Record<Jaw, number>>;
  /** SD of what was performed at one tooth where REFERENCE_CUT_MM was planned. */
  readonly sdMm: Readonly<Record<Jaw, number>>;
  readonly source: Source;
  readonly note: string;
}

/** Amount usually planned per tooth in the studies; their spread is taken to hold at it. */
export const REFERENCE_CUT_MM = 0.3;

const KALEMAJ = 'Kalemaj Z, Levrini L, Angle Orthod 2021;91:61–66';
const SPREAD_FROM_KALEMAJ = 'prints no spread per tooth: 0.14 mm is taken from Kalemaj & Levrini 2021';
const both = (value: number): Readonly<Record<Jaw, number>> => ({ upper: value, lower: value });

/** Residual SD of what was performed once the spread of what was planned is taken out; the error taken as independent of it. */
const residualSd = (performedSd: number, ratio: number, plannedSd: number): number =>
  Math.sqrt(performedSd ** 2 - (ratio * plannedSd) ** 2);

/** The studies do not agree; the first is the default, any other can be chosen. */
export const CUTTING_PRIORS: readonly CuttingPrior[] = [
  {
    id: 'rounded',
    title: 'Half of the plan (rounded from the studies that found too little)',
    ratio: both(0.5),
    sdMm: both(0.15),
    source: {
      standing: 'computed',
      text: 'rounded from De Felice 2020, Kalemaj & Levrini 2021, Hariharan 2022 and Weir 2021',
    },
    note: 'Laganà 2021 found no shortfall on average and is left out of it',
  },
  {
    id: 'de-felice-2020',
    title: 'De Felice 2020: 45 % (upper), 37 % (lower)',
    ratio: { upper: 0.4495, lower: 0.3702 },
    sdMm: both(0.14),
    source: {
      standing: 'published',
      text: 'De Felice ME et al., Prog Orthod 2020;21:28 (40 patients, hand strips)',
    },
    note: `per arch; ${SPREAD_FROM_KALEMAJ}`,
  },
  {
    id: 'kalemaj-2021',
    title: 'Kalemaj & Levrini 2021: 0.15 mm too little per tooth',
    ratio: both(0.5),
    sdMm: both(0.14),
    source: { standing: 'published', text: `${KALEMAJ} (464 teeth)` },
    note: 'printed as a shortfall of 0.15 mm (SD 0.14) per tooth; half of a cut of 0.3 mm (computed)',
  },
  {
    id: 'hariharan-2022',
    title: 'Hariharan 2022: 54 % (upper), 55 % (lower)',
    ratio: { upper: 0.15 / 0.28, lower: 0.17 / 0.31 },
    sdMm: { upper: residualSd(0.15, 0.15 / 0.28, 0.16), lower: residualSd(0.16, 0.17 / 0.31, 0.17) },
    source: { standing: 'published', text: 'Hariharan A et al., Prog Orthod 2022;23:9 (75 patients)' },
    note: 'planned 0.28 (SD 0.16) and 0.31 (0.17) mm, performed 0.15 (0.15) and 0.17 (0.16) mm per tooth; ratio and remaining spread computed from them',
  },
  {
    id: 'weir-2021',
    title: 'Weir 2021: about 44 %',
    ratio: both(0.44),
    sdMm: both(0.14),
    source: { standing: 'published', text: 'Weir T et al., Aust Orthod J 2021;37:176–186 (10 practices)' },
    note: SPREAD_FROM_KALEMAJ,
  },
  {
    id: 'lagana-2021',
    title: 'Laganà 2021: as planned on average',
    ratio: { upper: 1, lower: 1.93 / 1.92 },
    sdMm: both(0.14),
    source: { standing: 'published', text: 'Laganà G et al., BMC Oral Health 2021;21:199 (30 patients)' },
    note: `disagrees with the other four; ${SPREAD_FROM_KALEMAJ}`,
  },
];

export const cuttingPrior = (id: string): CuttingPrior | null =>
  CUTTING_PRIORS.find((prior) => prior.id === id) ?? null;

/** How far one operator's ratio may lie from a study's: the SD between the five studies' ratios, both jaws' mean (computed). */
export const RATIO_SD_BETWEEN = sdOf(
  CUTTING_PRIORS.filter(({ id }) => id !== 'rounded').map(({ ratio }) => (ratio.upper + ratio.lower) / 2),
);

function sdOf(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
}
