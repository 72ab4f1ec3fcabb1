import { type Contact, type Jaw, jawOf, positionOf } from '../base/tooth.ts';
import { type CuttingPrior, RATIO_SD_BETWEEN, REFERENCE_CUT_MM } from './cuttingPriors.ts';

/**
 * How somebody cuts: performed = ratio × planned + error, the error's variance growing with the planned amount
 * (so that two cuts of 0.1 mm spread like one of 0.2). Belief in ratio and spread is normal–inverse-gamma: the
 * spread ∼ inverse gamma (shape, rateMm), the ratio given the spread ∼ normal (ratio, spread ÷ weightMm).
 */
export interface CuttingHabit {
  readonly ratio: number; // expected performed ÷ planned
  readonly weightMm: number; // planned enamel the ratio rests on
  readonly shape: number;
  readonly rateMm: number;
}

/** One cut as planned and as found by the gauge. */
export interface CutRecord {
  readonly teeth: Contact;
  readonly plannedMm: number;
  readonly performedMm: number;
  readonly instrument: InstrumentClass;
}

export type InstrumentClass = 'strip' | 'bur' | 'disc' | 'oscillating-strip';

/** Where a contact lies, for habits: both teeth canine or before it, or further back. */
export type CutRegion = `${Jaw}-${'front' | 'back'}`;

export const cutRegion = ([a, b]: Contact): CutRegion =>
  `${jawOf(a)}-${positionOf(a) <= 3 && positionOf(b) <= 3 ? 'front' : 'back'}`;

/** What a published spread counts against an operator's own cuts: as much as twice this many of them; our choice. */
const PRIOR_SHAPE = 4;

/** Variance of a cut per mm planned, expected value; mm. */
export const spreadMm = ({ shape, rateMm }: CuttingHabit): number => rateMm / (shape - 1);

/** SD of the ratio as it is known now. */
export const ratioSd = (habit: CuttingHabit): number => Math.sqrt(spreadMm(habit) / habit.weightMm);

/** SD of a single cut of the given planned amount, the ratio known. Units: mm. */
export const cutSdMm = (habit: CuttingHabit, plannedMm: number): number =>
  Math.sqrt(spreadMm(habit) * Math.max(0, plannedMm));

/** A study as a belief about an operator nobody has records of. Units: mm. */
export function habitFromPrior(prior: CuttingPrior, jaw: Jaw): CuttingHabit {
  const spread = prior.sdMm[jaw] ** 2 / REFERENCE_CUT_MM;
  return {
    ratio: prior.ratio[jaw],
    weightMm: spread / RATIO_SD_BETWEEN ** 2,
    shape: PRIOR_SHAPE,
    rateMm: spread * (PRIOR_SHAPE - 1),
  };
}

/**
 * The belief once cuts are on record. `weight` below 1 counts them for less (records from elsewhere in the mouth).
 *
 * Units:    mm; cuts with nothing planned say nothing of the ratio and are passed over.
 * Accuracy: equal to the belief by numerical integration, and one by one to all at once —
 *           tests/core/reduction/cuttingHabit.test.ts.
 * Source:   conjugate update of a regression through the origin, Raiffa & Schlaifer 1961 (from memory, unverified).
 */
export function learnHabit(
  habit: CuttingHabit,
  cuts: readonly Pick<CutRecord, 'plannedMm' | 'performedMm'>[],
  weight = 1,
): CuttingHabit {
  let { ratio, weightMm, shape, rateMm } = habit;
  for (const { plannedMm, performedMm } of cuts) {
    if (!(plannedMm > 0) || !Number.isFinite(performedMm)) continue;
    const off = performedMm - ratio * plannedMm;
    // The one new observation against what was expected of it, in the spread's own unit.
    rateMm += (weight * weightMm * off * off) / (2 * plannedMm * (weightMm + weight * plannedMm));
    ratio += (weight * off) / (weightMm + weight * plannedMm);
    weightMm += weight * plannedMm;
    shape += weight / 2;
  }
  return { ratio, weightMm, shape, rateMm };
}

/** What a cut elsewhere, or with another instrument, counts for a cell; our choice. */
const ELSEWHERE_WEIGHT = 0.25;

/**
 * The operator's habit with one instrument in one region: the study chosen, then the operator's cuts elsewhere or
 * with other instruments at a quarter of their weight, then the cuts of the cell itself.
 */
export function habitOf(
  records: readonly CutRecord[],
  prior: CuttingPrior,
  cell: { readonly instrument: InstrumentClass; readonly region: CutRegion },
): CuttingHabit {
  const own = (cut: CutRecord) => cut.instrument === cell.instrument && cutRegion(cut.teeth) === cell.region;
  const jaw: Jaw = cell.region.startsWith('upper') ? 'upper' : 'lower';
  const elsewhere = learnHabit(
    habitFromPrior(prior, jaw),
    records.filter((cut) => !own(cut)),
    ELSEWHERE_WEIGHT,
  );
  return learnHabit(elsewhere, records.filter(own));
}
