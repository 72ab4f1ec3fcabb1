import type { Source } from '../base/Source.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import { REFERENCE_CUT_MM } from '../reduction/cuttingPriors.ts';
import type { CutEntry, CutMeasured } from './CutEntry.ts';

/** Enamel taken, with the part of its error that all amounts found the same way share. Units: mm. */
export interface CutEstimate extends Estimate {
  readonly commonSdMm: number;
}

/** Gauges step by this; what lies between two of them is not seen. */
export const GAUGE_STEP_MM = 0.1;

const EVEN = Math.sqrt(12); // an interval over the SD of an even distribution in it

/** By feel the amount itself is off: SD of single cuts, and the shortfall of the hand, at REFERENCE_CUT_MM. */
const FEEL_SD_MM = 0.14;
const FEEL_SHORTFALL_MM = 0.15;

/** One reading of a crown by caliper. */
const CALIPER_SD_MM = 0.12;

/** Where the SD of each way of measuring comes from. */
export const WAY_SOURCES: Readonly<Record<Exclude<CutMeasured['by'], 'not-cut'>, Source>> = {
  gauge: {
    standing: 'secondary',
    text: 'gauges read to 0.1 mm (Chudasama D, Sheridan JJ, J Clin Orthod 2007;41:315–320); between the gauge that passes and the one that stops every opening is as likely, and where only the one that just passes was noted the SD is 0.05 mm (our definition)',
  },
  feel: {
    standing: 'published',
    text: 'planned less performed 0.15 (SD 0.14) mm per tooth: Kalemaj Z, Levrini L, Angle Orthod 2021;91:61–66; taken to hold at 0.3 mm, the shortfall as an error common to all that was judged by feel',
  },
  caliper: {
    standing: 'secondary',
    text: 'Dahlberg error of a crown width 0.06–0.24 mm by caliper, the middle of it (geometric) for each of two readings; original paper not identified',
  },
};

/**
 * Enamel taken by one cut as it was measured. Units: mm; never below 0.
 * Source: see WAY_SOURCES.
 */
export function cutEstimate(how: CutMeasured): CutEstimate {
  switch (how.by) {
    case 'gauge': {
      const before = how.beforeMm > 0 ? GAUGE_STEP_MM / EVEN : 0;
      const opening = how.stopsMm === null ? how.passesMm : (how.passesMm + how.stopsMm) / 2;
      const own = how.stopsMm === null ? GAUGE_STEP_MM / 2 : (how.stopsMm - how.passesMm) / EVEN;
      return { valueMm: Math.max(0, opening - how.beforeMm), sdMm: Math.hypot(own, before), commonSdMm: 0 };
    }
    case 'feel': {
      const size = how.amountMm / REFERENCE_CUT_MM;
      return {
        valueMm: how.amountMm,
        sdMm: FEEL_SD_MM * Math.sqrt(size),
        commonSdMm: FEEL_SHORTFALL_MM * size,
      };
    }
    case 'caliper':
      return {
        valueMm: how.amountMm,
        sdMm: how.amountMm > 0 ? CALIPER_SD_MM * Math.SQRT2 : 0,
        commonSdMm: 0,
      };
    default:
      return NOTHING_TAKEN;
  }
}

const NOTHING_TAKEN: CutEstimate = { valueMm: 0, sdMm: 0, commonSdMm: 0 };

/** Amounts added: own errors as independent, the common error as one. */
export const sumOfCuts = (cuts: readonly CutEstimate[]): CutEstimate => ({
  valueMm: cuts.reduce((sum, cut) => sum + cut.valueMm, 0),
  sdMm: Math.hypot(...cuts.map((cut) => cut.sdMm)),
  commonSdMm: cuts.reduce((sum, cut) => sum + cut.commonSdMm, 0),
});

/** Both parts of the error together. */
export const asEstimate = ({ valueMm, sdMm, commonSdMm }: CutEstimate): Estimate => ({
  valueMm,
  sdMm: Math.hypot(sdMm, commonSdMm),
});

/** A gauge on a contact tells nothing of its two surfaces: SD of one surface's share; our definition. */
const SHARE_SD = 0.15;

/** What one entry took from its first (0) or second (1) surface. Units: mm. */
export function surfaceCut(entry: CutEntry, side: 0 | 1): CutEstimate {
  const cut = cutEstimate(entry.how);
  const share = side === 0 ? entry.firstShare : 1 - entry.firstShare;
  return {
    valueMm: cut.valueMm * share,
    sdMm: Math.hypot(cut.sdMm * share, cut.valueMm * SHARE_SD),
    commonSdMm: cut.commonSdMm * share,
  };
}
