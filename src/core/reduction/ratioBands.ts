import { normalProbability } from '../base/normalDistribution.ts';
import { archOrder, type Jaw, positionOf, type Tooth } from '../base/tooth.ts';
import type { ToothSizeNorm } from '../space/toothSizeNorms.ts';
import type { ToothWidth } from '../space/toothSizeRatios.ts';
import { LAST_POSITION, type RatioBand } from './twoArchModel.ts';

export type RatioKind = RatioBand['kind'];

/** Where a tooth-size ratio is to be brought, percent; low and high alike: to that value. */
export interface BandPercent {
  readonly lowPercent: number;
  readonly highPercent: number;
}

/** How two arches are planned together. */
export interface TogetherSettings {
  readonly isOn: boolean; // off: each arch by itself; what was chosen is kept
  readonly ratios: RatioKind | 'both';
  /** The norm's mean ± 1 SD, its mean, or the user's own band. */
  readonly target: 'norm-band' | 'norm-mean' | 'own';
  readonly own: Readonly<Record<RatioKind, BandPercent | null>>;
  /** The most each arch may give for the ratio beyond what its account needs; 0 unless the user allows more. */
  readonly extraMm: Readonly<Record<Jaw, number>>;
}

export const TOGETHER_DEFAULTS: TogetherSettings = {
  isOn: false,
  ratios: 'anterior',
  target: 'norm-band',
  own: { overall: null, anterior: null },
  extraMm: { upper: 0, lower: 0 },
};

/** SDs of the norm on either side of its mean that make the default band; our choice. */
export const NORM_BAND_SDS = 1;

export interface ChosenBands {
  readonly bands: readonly RatioBand[];
  readonly problems: readonly { readonly field: string; readonly text: string }[]; // ratios wished for that give no band, and why
}

/** The bands a case asks for, from the widths as they stand. Units: mm in, percent and mm out. */
export function ratioBands(
  settings: TogetherSettings,
  norm: ToothSizeNorm,
  widths: Readonly<Record<Jaw, readonly ToothWidth[]>>,
): ChosenBands {
  const kinds: readonly RatioKind[] =
    settings.ratios === 'both' ? ['overall', 'anterior'] : [settings.ratios];
  const bands: RatioBand[] = [];
  const problems: { field: string; text: string }[] = [];
  for (const kind of kinds) {
    const band = bandPercent(settings, norm, kind);
    const upper = sumOf('upper', widths.upper, kind);
    const lower = sumOf('lower', widths.lower, kind);
    const missing = [...upper.missing, ...lower.missing];
    if (typeof band === 'string')
      problems.push({ field: settings.target === 'own' ? `own.${kind}` : 'target', text: band });
    else if (missing.length > 0)
      problems.push({ field: 'ratios', text: `${kind} ratio: no width of ${missing.join(', ')}` });
    else bands.push({ kind, ...band, upperSumMm: upper.sumMm, lowerSumMm: lower.sumMm });
  }
  return { bands, problems };
}

/** The band wished for one ratio, or why there is none. */
export function bandPercent(
  { target, own }: TogetherSettings,
  norm: ToothSizeNorm,
  kind: RatioKind,
): BandPercent | string {
  if (target === 'own') return own[kind] ?? `${kind} ratio: enter the band of your own`;
  const against = norm[kind];
  if (!against) return `${kind} ratio: ${norm.title} gives none; choose another norm or a band of your own`;
  const { meanPercent, sdPercent } = against;
  if (target === 'norm-mean') return { lowPercent: meanPercent, highPercent: meanPercent };
  if (sdPercent === null)
    return `${kind} ratio: ${norm.title} gives no SD; choose its mean or a band of your own`;
  const half = NORM_BAND_SDS * sdPercent;
  return { lowPercent: meanPercent - half, highPercent: meanPercent + half };
}

/** Chance that the true ratio lies outside the band, given the measuring error; null for a band without width. */
export function chanceOutsideBand(
  percent: number,
  sdPercent: number,
  { lowPercent, highPercent }: BandPercent,
): number | null {
  if (highPercent <= lowPercent) return null;
  if (sdPercent === 0) return percent < lowPercent || percent > highPercent ? 1 : 0;
  return (
    normalProbability((lowPercent - percent) / sdPercent) +
    normalProbability((percent - highPercent) / sdPercent)
  );
}

function sumOf(jaw: Jaw, widths: readonly ToothWidth[], kind: RatioKind) {
  let sumMm = 0;
  const missing: Tooth[] = [];
  for (const tooth of archOrder(jaw)) {
    if (positionOf(tooth) > LAST_POSITION[kind]) continue;
    const width = widths.find((w) => w.tooth === tooth);
    if (width) sumMm += width.widthMm;
    else missing.push(tooth);
  }
  return { sumMm, missing };
}
