import { type Contact, siteFacing, type Tooth } from '../base/tooth.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import type { ContactLimits } from '../reduction/reductionRequest.ts';
import { type CutEntry, contactKey, standingEntries } from './CutEntry.ts';
import { combineEstimates } from './combineEstimates.ts';
import { asEstimate, type CutEstimate, cutEstimate, sumOfCuts, surfaceCut } from './cutEstimate.ts';
import type { FollowUpMeasure } from './FollowUp.ts';

/** A follow-up scan as it bears on the account: what it measured, and after which visit it was taken. */
export interface FollowUpSeen {
  readonly measure: FollowUpMeasure;
  readonly afterVisit: number;
}

/** Enamel taken at one contact in this treatment, found by each way. Units: mm. */
export interface ContactTaken {
  readonly teeth: Contact;
  readonly recorded: CutEstimate; // over all visits
  /** By the surfaces of the two scans; only what was taken up to the follow-up. */
  readonly measured: Estimate | null;
  /** Recorded and measured joined, and what was recorded since the follow-up. */
  readonly taken: CutEstimate;
  /** Recorded and measured differ by more than their SDs allow. */
  readonly disagree: boolean;
}

const DISAGREE_FROM = 2; // SDs of the difference

/** Enamel taken at each of the contacts, in their order. */
export function enamelTaken(
  contacts: readonly Contact[],
  entries: readonly CutEntry[],
  followUp: FollowUpSeen | null,
): readonly ContactTaken[] {
  const standing = standingEntries(entries);
  return contacts.map((teeth) => {
    const own = standing.filter((entry) => contactKey(entry.teeth) === contactKey(teeth));
    const measured =
      followUp?.measure.contacts.find((change) => contactKey(change.teeth) === contactKey(teeth))
        ?.enamelGone ?? null;
    return { teeth, measured, ...joined(own, measured, followUp, (entry) => cutEstimate(entry.how)) };
  });
}

function joined(
  own: readonly CutEntry[],
  measured: Estimate | null,
  followUp: FollowUpSeen | null,
  amount: (entry: CutEntry) => CutEstimate,
): Pick<ContactTaken, 'recorded' | 'taken' | 'disagree'> {
  const recorded = sumOfCuts(own.map(amount));
  if (!followUp || !measured) return { recorded, taken: recorded, disagree: false };
  const until = sumOfCuts(own.filter((entry) => entry.visit <= followUp.afterVisit).map(amount));
  const since = own.filter((entry) => entry.visit > followUp.afterVisit).map(amount);
  // Nothing on record is no measurement of 0: then the surfaces alone speak.
  const written = own.some((entry) => entry.visit <= followUp.afterVisit && entry.how.by !== 'not-cut');
  const both = combineEstimates([written ? asEstimate(until) : null, measured]) ?? measured;
  const known: CutEstimate = { valueMm: both.valueMm, sdMm: both.sdMm, commonSdMm: 0 };
  const gap = Math.abs(asEstimate(until).valueMm - measured.valueMm);
  const disagree = gap > DISAGREE_FROM * Math.hypot(asEstimate(until).sdMm, measured.sdMm);
  return { recorded, taken: sumOfCuts([known, ...since]), disagree };
}

/** One proximal surface: enamel taken by earlier treatment and by this one, against its limit. Units: mm. */
export interface SurfaceTaken {
  readonly tooth: Tooth;
  readonly surface: 'mesial' | 'distal';
  readonly teeth: Contact;
  readonly earlierMm: number;
  readonly recorded: Estimate;
  readonly measured: Estimate | null;
  readonly taken: Estimate; // in this treatment
  /** All that may be taken of this surface in this treatment. */
  readonly limitMm: number;
  readonly limitFrom: ContactLimits['surfaceFrom'][0];
  readonly leftMm: number; // not below 0
  readonly overMm: number; // by how much the limit is passed, 0 where it is kept
  readonly isEmpty: boolean; // nothing taken, now or earlier
}

/**
 * Every surface of the contacts, in order round the arch, over all visits and earlier treatment.
 *
 * Units:    mm. A default limit already counts what earlier treatment took; a typed one stands as it is.
 * Accuracy: the two surfaces of a contact add up to what was recorded there — tests/core/visits/enamelTaken.test.ts.
 */
export function surfacesTaken(
  limits: readonly ContactLimits[],
  entries: readonly CutEntry[],
  followUp: FollowUpSeen | null,
): readonly SurfaceTaken[] {
  const standing = standingEntries(entries);
  return limits.flatMap((limit) =>
    ([0, 1] as const).map((side): SurfaceTaken => {
      const tooth = limit.teeth[side];
      const surface = siteFacing(tooth, limit.teeth[1 - side]);
      const own = standing.filter((entry) => contactKey(entry.teeth) === contactKey(limit.teeth));
      const change = followUp?.measure.teeth.find((t) => t.tooth === tooth);
      const measured = change?.enamelGone[surface === 'mesial' ? 0 : 1] ?? null;
      const { recorded, taken } = joined(own, measured, followUp, (entry) => surfaceCut(entry, side));
      const earlierMm = limit.earlierMm[side];
      const limitMm = limit.surfacesMm[side];
      return {
        tooth,
        surface,
        teeth: limit.teeth,
        earlierMm,
        recorded: asEstimate(recorded),
        measured,
        taken: asEstimate(taken),
        limitMm,
        limitFrom: limit.surfaceFrom[side],
        leftMm: Math.max(0, limitMm - Math.max(0, taken.valueMm)),
        overMm: Math.max(0, taken.valueMm - limitMm),
        isEmpty: taken.valueMm === 0 && earlierMm === 0,
      };
    }),
  );
}
