import { normalProbability } from '../base/normalDistribution.ts';
import { archOrder, type Jaw, positionOf, type Tooth } from '../base/tooth.ts';
import type { ToothSizeRatio } from './Ledger.ts';
import type { RatioNorm, ToothSizeNorm } from './toothSizeNorms.ts';

/** A width as it enters a sum; a `ToothMeasure` is one. */
export interface ToothWidth {
  readonly tooth: Tooth;
  readonly widthMm: number;
  readonly sdMm: number;
}

export interface RatioInput {
  readonly upper: readonly ToothWidth[];
  readonly lower: readonly ToothWidth[];
  readonly norm: ToothSizeNorm;
}

/** SDs of the norm within which a ratio counts as usual. */
export const RATIO_BAND_SDS = 2;

/**
 * Tooth-size ratios, 100 × sum of lower widths ÷ sum of upper widths: overall over first molar to first molar
 * (12 teeth each), anterior over canine to canine (6 each).
 *
 * Units:    mm in; percent, and mm for the excess. A lower excess is what the lower arch has too much if the upper
 *           is right, an upper excess the other way round; the two differ by the factor of the norm.
 * Missing:  a ratio with a width missing is null and names the teeth.
 * Accuracy: SD first-order, widths independent; constructed sets to the printed digits — tests/core/space/toothSizeRatios.test.ts.
 * Source:   Bolton WA, Angle Orthod 1958;28:113–130; norms in toothSizeNorms.ts.
 */
export function toothSizeRatios(input: RatioInput): {
  readonly overall: ToothSizeRatio;
  readonly anterior: ToothSizeRatio;
} {
  return { overall: ratio('overall', input), anterior: ratio('anterior', input) };
}

function ratio(kind: ToothSizeRatio['kind'], { upper, lower, norm }: RatioInput): ToothSizeRatio {
  const lastPosition = kind === 'overall' ? 6 : 3;
  const top = widthSum('upper', upper, lastPosition);
  const bottom = widthSum('lower', lower, lastPosition);
  const missing = [...top.missing, ...bottom.missing];
  const empty = {
    kind,
    percent: null,
    sdPercent: null,
    zScore: null,
    lowerExcessMm: null,
    upperExcessMm: null,
    lowerExcessSdMm: null,
    upperExcessSdMm: null,
    chanceOutside: null,
    missing,
    source: norm.source,
  };
  if (missing.length > 0) return empty;
  const percent = (100 * bottom.sumMm) / top.sumMm;
  const sdPercent = percent * Math.hypot(bottom.sdMm / bottom.sumMm, top.sdMm / top.sumMm);
  const against = norm[kind];
  if (!against) return { ...empty, percent, sdPercent };
  const share = against.meanPercent / 100;
  return {
    ...empty,
    percent,
    sdPercent,
    zScore: against.sdPercent === null ? null : (percent - against.meanPercent) / against.sdPercent,
    lowerExcessMm: bottom.sumMm - top.sumMm * share,
    upperExcessMm: top.sumMm - bottom.sumMm / share,
    lowerExcessSdMm: Math.hypot(bottom.sdMm, top.sdMm * share),
    upperExcessSdMm: Math.hypot(top.sdMm, bottom.sdMm / share),
    chanceOutside: chanceOutside(percent, sdPercent, against),
  };
}

function chanceOutside(percent: number, sdPercent: number, norm: RatioNorm): number | null {
  if (norm.sdPercent === null) return null;
  const half = RATIO_BAND_SDS * norm.sdPercent;
  const low = norm.meanPercent - half - percent;
  const high = norm.meanPercent + half - percent;
  if (sdPercent === 0) return low > 0 || high < 0 ? 1 : 0;
  return normalProbability(low / sdPercent) + normalProbability(-high / sdPercent);
}

function widthSum(jaw: Jaw, widths: readonly ToothWidth[], lastPosition: number) {
  let sumMm = 0;
  let variance = 0;
  const missing: Tooth[] = [];
  for (const tooth of archOrder(jaw)) {
    if (positionOf(tooth) > lastPosition) continue;
    const width = widths.find((w) => w.tooth === tooth);
    if (!width) missing.push(tooth);
    else {
      sumMm += width.widthMm;
      variance += width.sdMm ** 2;
    }
  }
  return { sumMm, sdMm: Math.sqrt(variance), missing };
}
