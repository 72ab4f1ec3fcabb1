import { normalDensity, normalProbability } from '../base/normalDistribution.ts';
import type { Source } from '../base/Source.ts';
import type { PlanForecast } from './ReductionPlan.ts';
import { tidyMm } from './stepAmounts.ts';

/** A residual above this counts as a gap that shows, and below minus this as jamming; our definition. */
export const RESIDUAL_THRESHOLD_MM = 0.1;

export interface ForecastInput {
  /** Enamel taken in all: the plan's own figure when cut exactly, or mean and SD of what will be cut. */
  readonly cutMm: number;
  readonly cutSdMm: number;
  readonly neededMm: number;
  readonly neededSdMm: number;
  readonly thresholdMm?: number; // RESIDUAL_THRESHOLD_MM by default
}

/**
 * Space left at the end, cut − needed, as a normal distribution: positive is a gap, negative jamming.
 *
 * Units:    mm in, mm out; chances 0–1 beyond ± the threshold. With no spread at all the chances are 0 or 1.
 * Accuracy: within simulation error of 200,000 seeded draws — tests/core/reduction/forecast.test.ts.
 */
export function forecastResidual(input: ForecastInput): PlanForecast {
  const threshold = input.thresholdMm ?? RESIDUAL_THRESHOLD_MM;
  const residualMeanMm = tidyMm(input.cutMm - input.neededMm);
  const residualSdMm = tidyMm(Math.hypot(input.cutSdMm, input.neededSdMm));
  const beyond = (excessMm: number): number =>
    residualSdMm > 0 ? normalProbability(excessMm / residualSdMm) : excessMm > 1e-9 ? 1 : 0;
  return {
    residualMeanMm,
    residualSdMm,
    chanceGap: beyond(residualMeanMm - threshold),
    chanceJam: beyond(-threshold - residualMeanMm),
  };
}

/** How an operator cuts: performed = ratio × planned + normal error per tooth, never below 0. */
export interface CuttingBehaviour {
  readonly performedRatio: number;
  readonly sdPerToothMm: number;
  readonly source: Source;
}

/** Exact to plan: what `planReduction` assumes. */
export const CUT_AS_PLANNED: CuttingBehaviour = {
  performedRatio: 1,
  sdPerToothMm: 0,
  source: { standing: 'computed', text: 'every planned tenth is cut, no more and no less' },
};

/** Half of the planned amount, with the spread found per tooth; to be replaced by the operator's own record. */
export const PUBLISHED_CUTTING: CuttingBehaviour = {
  performedRatio: 0.5,
  sdPerToothMm: 0.15,
  source: {
    standing: 'computed',
    text: 'rounded from the studies listed in CUTTING_STUDIES; spread per tooth as in Kalemaj & Levrini 2021 and Hariharan et al. 2022',
  },
};

/** What was performed of what was planned; they do not agree. */
export const CUTTING_STUDIES: readonly { readonly finding: string; readonly source: Source }[] = [
  {
    finding:
      'per arch, 40 patients: 45 % (upper) and 37 % (lower) of the plan achieved; short by 0.55 (SD 0.67) and 0.82 (SD 0.84) mm',
    source: { standing: 'published', text: 'De Felice ME et al., Prog Orthod 2020;21:28' },
  },
  {
    finding:
      'per tooth, 464 teeth: short by 0.15 (SD 0.14) mm; lower canines worst, mesial better than distal',
    source: { standing: 'published', text: 'Kalemaj Z, Levrini L, Angle Orthod 2021;91:61–66' },
  },
  {
    finding: 'per tooth, 75 patients: planned 0.28 and 0.31 mm, performed 0.15 and 0.17 mm (54 and 55 %)',
    source: { standing: 'published', text: 'Hariharan A et al., Prog Orthod 2022;23:9' },
  },
  {
    finding: '10 practices: under-performed everywhere, about 44 % achieved',
    source: { standing: 'published', text: 'Weir T et al., Aust Orthod J 2021;37:176–186' },
  },
  {
    finding:
      'disagrees: 30 patients, performed equal to planned on average (upper 0.62 of 0.62 mm, lower 1.93 of 1.92 mm)',
    source: { standing: 'published', text: 'Laganà G et al., BMC Oral Health 2021;21:199' },
  },
];

/**
 * Mean and SD of the enamel that will really be taken, from what is planned per tooth.
 *
 * Units:    mm in, mm out; teeth with nothing planned are not touched.
 * Accuracy: exact for one tooth (normal cut off at 0); teeth are taken as independent, which one operator's habit
 *           may not be. Checked by simulation — tests/core/reduction/forecast.test.ts.
 */
export function performedCut(
  plannedByToothMm: readonly number[],
  behaviour: CuttingBehaviour,
): { readonly cutMm: number; readonly cutSdMm: number } {
  let cutMm = 0;
  let variance = 0;
  for (const planned of plannedByToothMm) {
    if (planned <= 0) continue;
    const mean = behaviour.performedRatio * planned;
    const sd = behaviour.sdPerToothMm;
    if (sd === 0) {
      cutMm += mean;
      continue;
    }
    const above = normalProbability(mean / sd);
    const density = normalDensity(mean / sd);
    const expected = mean * above + sd * density;
    cutMm += expected;
    variance += Math.max(0, (mean * mean + sd * sd) * above + mean * sd * density - expected * expected);
  }
  return { cutMm, cutSdMm: Math.sqrt(variance) };
}
