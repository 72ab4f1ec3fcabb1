import type { Contact } from '../base/tooth.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import type { ReductionPlan, ReductionRequest } from '../reduction/ReductionPlan.ts';
import type { ContactLimits } from '../reduction/reductionRequest.ts';
import { tidyMm } from '../reduction/stepAmounts.ts';
import { type CutEntry, type CuttingOverride, visitsHeld } from './CutEntry.ts';
import { asEstimate, sumOfCuts } from './cutEstimate.ts';
import {
  type ContactTaken,
  enamelTaken,
  type FollowUpSeen,
  type SurfaceTaken,
  surfacesTaken,
} from './enamelTaken.ts';
import { type RestOfPlan, restOfPlan } from './restOfPlan.ts';
import { type NeedFrom, type Verdict, verdictOf } from './verdict.ts';

/** What is known of the arch now. */
export interface FollowUpKnown extends FollowUpSeen {
  /** Shortage by the marks of the later scan, measured like the first one; null where it is not marked. */
  readonly shortage: Estimate | null;
  /** Shortage by the separations between its crowns; null where teeth still stand off the line. */
  readonly bySeparations: Estimate | null;
}

export interface BalanceInput {
  /** Request and plan as agreed, before anything was cut. */
  readonly request: ReductionRequest;
  readonly plan: ReductionPlan;
  readonly limits: readonly ContactLimits[]; // of the request's contacts, in its order
  readonly entries: readonly CutEntry[];
  readonly followUp: FollowUpKnown | null; // the last one
  readonly followUps: number; // how many there are
  readonly overrides: readonly CuttingOverride[];
}

/** One contact of the balance. Units: mm. */
export interface BalanceRow extends ContactTaken {
  readonly plannedMm: number; // agreed, held-back tenths included
  readonly stillPlannedMm: number; // agreed and not yet taken, not below 0
  readonly overCutMm: number; // taken beyond what was agreed, 0 where not
  readonly restMm: number; // by the plan made anew
  readonly restHeldBackMm: number;
}

export interface Balance {
  readonly rows: readonly BalanceRow[];
  readonly surfaces: readonly SurfaceTaken[];
  readonly plannedMm: number;
  readonly recorded: Estimate;
  readonly measured: Estimate | null;
  readonly taken: Estimate;
  /** Space still needed (negative: in excess) by each way there is. */
  readonly predicted: Estimate; // first account less the enamel taken
  readonly remeasured: Estimate | null; // marks of the later scan, less what was cut since
  readonly bySeparations: Estimate | null; // likewise
  readonly needed: Estimate;
  readonly neededFrom: NeedFrom;
  /** The first account less the enamel taken, and the new measure, lie further apart than their SDs allow. */
  readonly contradicts: boolean;
  readonly verdict: Verdict;
  readonly rest: RestOfPlan;
  readonly override: CuttingOverride | null; // the one in force
}

const CONTRADICTS_FROM = 2; // SDs of the difference

/**
 * Planned, recorded and measured laid side by side, and what follows for the rest of the treatment. After a
 * re-measurement the need is taken from the new measure alone, the surer of its two ways; before it, from the first
 * account less the enamel taken.
 *
 * Units:    mm; shortage positive, excess negative.
 * Refuses:  as planReduction.
 * Accuracy: amounts add up, and cutting is never proposed where the need may be nothing at the risk stated —
 *           tests/core/visits/balance.test.ts.
 */
export function balance(input: BalanceInput): Balance {
  const { request, plan, limits, entries, followUp } = input;
  const contacts = enamelTaken(contactsOfRequest(request), entries, followUp);
  const surfaces = surfacesTaken(limits, entries, followUp);
  const taken = asEstimate(sumOfCuts(contacts.map((contact) => contact.taken)));
  const predicted = lessTaken({ valueMm: request.neededMm, sdMm: request.neededSdMm }, taken);
  const since = cutSince(contacts, entries, followUp);
  const remeasured = followUp?.shortage ? lessTaken(followUp.shortage, since) : null;
  const bySeparations = followUp?.bySeparations ? lessTaken(followUp.bySeparations, since) : null;
  const [needed, neededFrom] = needNow(predicted, remeasured, bySeparations);
  const gap = Math.abs(predicted.valueMm - needed.valueMm);
  const contradicts =
    neededFrom !== 'account' && gap > CONTRADICTS_FROM * Math.hypot(predicted.sdMm, needed.sdMm);
  const override = input.overrides.filter((given) => given.followUps === input.followUps).at(-1) ?? null;
  const rest = restOfPlan({
    request,
    needed,
    contacts,
    surfaces,
    visitsHeld: visitsHeld(entries),
    isBlocked: needed.valueMm <= 0,
  });
  const rows = contacts.map((contact, i): BalanceRow => {
    const plannedMm = plan.contacts[i].totalMm;
    const left = plannedMm - contact.taken.valueMm;
    return {
      ...contact,
      plannedMm,
      stillPlannedMm: tidyMm(Math.max(0, left)),
      overCutMm: tidyMm(Math.max(0, -left)),
      restMm: rest.plan.contacts[i].totalMm,
      restHeldBackMm: rest.plan.contacts[i].heldBackMm,
    };
  });
  const isMeasured = rows.some((row) => row.measured !== null);
  const measured = sumOfCuts(rows.map((row) => ({ ...(row.measured ?? NONE), commonSdMm: 0 })));
  const stillPlannedMm = tidyMm(rows.reduce((sum, row) => sum + row.stillPlannedMm, 0));
  return {
    rows,
    surfaces,
    plannedMm: plan.plannedMm,
    recorded: asEstimate(sumOfCuts(contacts.map((contact) => contact.recorded))),
    measured: isMeasured ? asEstimate(measured) : null,
    taken,
    predicted,
    remeasured,
    bySeparations,
    needed,
    neededFrom,
    contradicts,
    verdict: verdictOf({
      needed,
      neededFrom,
      rest,
      stillPlannedMm,
      contradicts,
      isFirst: taken.valueMm === 0 && neededFrom === 'account',
      hasOverride: override !== null,
    }),
    rest,
    override,
  };
}

const NONE: Estimate = { valueMm: 0, sdMm: 0 };

const contactsOfRequest = (request: ReductionRequest): readonly Contact[] =>
  request.contacts.map((contact) => contact.teeth);

const lessTaken = (need: Estimate, taken: Estimate): Estimate => ({
  valueMm: need.valueMm - taken.valueMm,
  sdMm: Math.hypot(need.sdMm, taken.sdMm),
});

/** What was recorded in visits after the follow-up scan. */
function cutSince(
  contacts: readonly ContactTaken[],
  entries: readonly CutEntry[],
  followUp: FollowUpSeen | null,
): Estimate {
  if (!followUp) return NONE;
  const later = entries.filter((entry) => entry.visit > followUp.afterVisit);
  // A correction names an earlier entry of the same visit, so the later visits stand by themselves.
  const since = enamelTaken(
    contacts.map(({ teeth }) => teeth),
    later,
    null,
  );
  return asEstimate(sumOfCuts(since.map((contact) => contact.taken)));
}

function needNow(
  predicted: Estimate,
  remeasured: Estimate | null,
  bySeparations: Estimate | null,
): readonly [Estimate, NeedFrom] {
  if (bySeparations && (!remeasured || bySeparations.sdMm < remeasured.sdMm))
    return [bySeparations, 'separations'];
  return remeasured ? [remeasured, 'remeasured'] : [predicted, 'account'];
}
