import { normalQuantile } from '../base/normalDistribution.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import { RESIDUAL_THRESHOLD_MM } from '../reduction/forecast.ts';
import { committedMm, type RestOfPlan } from './restOfPlan.ts';

/** What the balance says: cut more, stop cutting, or stop and close the space that is left. */
export interface Verdict {
  readonly says: 'more' | 'stop' | 'close';
  readonly because: VerdictCause;
  /** What may be cut now at the stated risk; 0 unless `says` is 'more'. */
  readonly commitMm: number;
  /** The agreed plan would take more than is needed: it is stopped. */
  readonly stopsPlan: boolean;
  readonly reasons: readonly string[]; // in sentences
}

export type VerdictCause =
  | 'needed' // more space is surely needed, and enamel may give it
  | 'limits' // more space is surely needed, but no enamel may give it
  | 'unsure' // more may be needed; a re-measurement has to say so
  | 'done' // less than a step is left either way
  | 'excess-unsure' // rather too much than too little
  | 'excess'; // surely too much

/** A space in excess counts from this on; our definition, as in the forecast. */
const CLOSE_FROM_MM = RESIDUAL_THRESHOLD_MM;

/** Less than this is no amount to be told of. */
const TOLD_MM = 0.005;

/** From where the space still needed is known. */
export type NeedFrom = 'account' | 'remeasured' | 'separations';

export interface VerdictInput {
  readonly needed: Estimate;
  readonly neededFrom: NeedFrom;
  readonly rest: RestOfPlan;
  readonly stillPlannedMm: number; // agreed and not yet taken
  readonly contradicts: boolean;
  readonly hasOverride: boolean;
  /** Nothing was taken or measured anew yet. */
  readonly isFirst: boolean;
}

const NEED_WORDS: Readonly<Record<NeedFrom, string>> = {
  account: 'the first account less the enamel taken',
  remeasured: 'the marks of the follow-up scan',
  separations: 'the separations between the crowns of the follow-up scan',
};

/** The part of an amount that is sure at a risk: its value less that quantile of its SD. Units: mm. */
function sureMm({ valueMm, sdMm }: Estimate, risk: number): number {
  if (sdMm === 0) return valueMm;
  const margin = normalQuantile(1 - risk) * sdMm;
  return margin === Number.POSITIVE_INFINITY ? Number.NEGATIVE_INFINITY : valueMm - Math.max(0, margin);
}

/**
 * More, stop, or close. More only where what is committed stays within the need at the accepted risk; close where
 * the excess is above CLOSE_FROM_MM and sure at the same risk; otherwise stop.
 */
export function verdictOf(input: VerdictInput): Verdict {
  const { needed, rest, stillPlannedMm } = input;
  const { stepMm, overshootRisk } = rest.request;
  const commitMm = committedMm(rest);
  const surelyNeededMm = sureMm(needed, overshootRisk);
  const surelyTooMuchMm = sureMm({ valueMm: -needed.valueMm, sdMm: needed.sdMm }, overshootRisk);
  const because: VerdictCause =
    commitMm > 0
      ? 'needed'
      : surelyNeededMm >= stepMm
        ? 'limits'
        : surelyTooMuchMm > 0 && -needed.valueMm >= CLOSE_FROM_MM
          ? 'excess'
          : Math.abs(needed.valueMm) < stepMm
            ? 'done'
            : needed.valueMm > 0
              ? 'unsure'
              : 'excess-unsure';
  const says = because === 'needed' ? 'more' : because === 'excess' ? 'close' : 'stop';
  const stopsPlan =
    says !== 'more' &&
    stillPlannedMm > Math.max(0, needed.valueMm) + 1e-9 &&
    stillPlannedMm >= (needed.valueMm > 0 ? stepMm : TOLD_MM) - 1e-9;
  return {
    says,
    because,
    commitMm: says === 'more' ? commitMm : 0,
    stopsPlan,
    reasons: [...reasonsOf(because, input, commitMm), ...planReason(stopsPlan, input, commitMm)],
  };
}

const mm = (value: number): string => `${Math.abs(value).toFixed(2)} mm`;
const withSd = ({ valueMm, sdMm }: Estimate): string => `${mm(valueMm)} (SD ${sdMm.toFixed(2)})`;
const percent = (ratio: number): string => `${Math.round(ratio * 1000) / 10} %`;

function reasonsOf(because: VerdictCause, input: VerdictInput, commitMm: number): readonly string[] {
  const { needed, neededFrom, rest, contradicts, hasOverride, isFirst } = input;
  const by = `by ${isFirst ? 'the space account' : NEED_WORDS[neededFrom]}`;
  const still = isFirst ? '' : 'still ';
  const risk = percent(rest.request.overshootRisk);
  const doubt = contradicts
    ? [
        'The first account less the enamel taken and the new measure contradict each other; look at the marks of both scans before going on.',
      ]
    : [];
  const word = hasOverride ? ['Cutting was allowed on purpose; the reason is on record.'] : [];
  switch (because) {
    case 'needed':
      return [
        `${withSd(needed)} are ${still}needed ${by}; ${mm(commitMm)} of it may be cut at a risk of ${risk} of taking too much.`,
        ...doubt,
      ];
    case 'limits':
      return [
        `${withSd(needed)} are ${still}needed ${by}, but the enamel limits leave nothing to cut; the rest must come from elsewhere.`,
        ...doubt,
      ];
    case 'unsure':
      return [
        `${withSd(needed)} may ${still}be needed ${by}, but not surely so at a risk of ${risk}: what is held back waits for a new measurement.`,
        ...doubt,
      ];
    case 'done':
      return [
        `What is left, ${withSd(needed)} ${needed.valueMm > 0 ? 'needed' : 'in excess'} ${by}, is less than one step: no enamel is to be cut.`,
        ...doubt,
      ];
    case 'excess-unsure':
      return [
        `There is rather too much space than too little: ${withSd(needed)} in excess ${by}. No enamel is to be cut anywhere in this arch.`,
        ...word,
        ...doubt,
      ];
    default:
      return [
        `There is too much space: ${withSd(needed)} in excess ${by}, sure at a risk of ${risk}. No enamel is to be cut anywhere in this arch; the space is to be closed.`,
        ...word,
        ...doubt,
      ];
  }
}

/** What becomes of the planned part that may not be cut now: held back, or left out and why. */
function restInWords({ needed, rest, stillPlannedMm }: VerdictInput, commitMm: number): string {
  const waitingMm = stillPlannedMm - commitMm;
  const heldBackMm = Math.min(waitingMm, rest.plan.heldBackMm);
  const droppedMm = waitingMm - heldBackMm;
  const held = `${mm(heldBackMm)} of it is held back until a re-measurement`;
  if (droppedMm < TOLD_MM) return held;
  const why =
    droppedMm < rest.request.stepMm - 1e-9
      ? 'is less than one step'
      : stillPlannedMm > needed.valueMm + TOLD_MM
        ? 'is left out, because less is needed now'
        : 'is left out, because the enamel limits do not allow it';
  return heldBackMm < TOLD_MM ? `${mm(droppedMm)} of it ${why}` : `${held}, ${mm(droppedMm)} ${why}`;
}

function planReason(stopsPlan: boolean, input: VerdictInput, commitMm: number): readonly string[] {
  const { needed, stillPlannedMm, isFirst } = input;
  const plan = isFirst ? 'The plan takes' : 'The agreed plan has';
  const toGo = isFirst ? 'in all' : 'to go';
  const need = needed.valueMm > 0 ? `${withSd(needed)} are needed` : `${withSd(needed)} are there in excess`;
  if (stopsPlan)
    return [`The agreed plan would still take ${mm(stillPlannedMm)} while ${need}: it is stopped.`];
  if (commitMm <= 0 && stillPlannedMm > 1e-9) return [`${plan} ${mm(stillPlannedMm)} ${toGo}; that waits.`];
  if (stillPlannedMm > commitMm + 1e-9)
    return [`${plan} ${mm(stillPlannedMm)} ${toGo}; ${restInWords(input, commitMm)}.`];
  return [];
}
