import { normalQuantile } from '../base/normalDistribution.ts';
import { Refusal } from '../base/refusal.ts';
import { allocateSteps } from './allocateSteps.ts';
import { byPreference } from './contactOrder.ts';
import { forecastResidual } from './forecast.ts';
import type { PlanContact, ReductionPlan, ReductionRequest, RequestContact } from './ReductionPlan.ts';
import { readReductionRequest } from './requestSchema.ts';
import { scheduleVisits } from './scheduleVisits.ts';
import { shareSurfaces } from './shareSurfaces.ts';
import { type MidlineWish, sharedBySides } from './sidesInBalance.ts';
import { stepsToMm, stepsWithin } from './stepAmounts.ts';

/** Wishes beside the request; left out, nothing changes. */
export interface PlanOptions {
  readonly midline?: MidlineWish | null;
}

/** Whole steps a contact can give: its capacity, and what its visits leave of it. */
export interface ContactRoom {
  readonly capacity: number; // min(contact limit, sum of surface limits)
  readonly bound: number; // at most the capacity; 0 where locked
  readonly perVisit: number;
}

/** The room of one contact in whole steps; a locked contact keeps its capacity but may give nothing. */
export function contactRoom(contact: RequestContact, request: ReductionRequest): ContactRoom {
  const { stepMm, visits, perVisitLimitMm } = request;
  const surfacesMm = contact.surfaceLimitsMm[0] + contact.surfaceLimitsMm[1];
  const capacity = stepsWithin(Math.min(contact.limitMm, surfacesMm), stepMm);
  const perVisit = stepsWithin(perVisitLimitMm, stepMm);
  const visitsLeft = Math.max(0, visits - contact.reachableFromVisit + 1);
  return { capacity, perVisit, bound: contact.locked ? 0 : Math.min(capacity, perVisit * visitsLeft) };
}

/**
 * What is asked for, in whole steps: `goal`, the most that does not exceed what is needed, and `commit`, the part
 * of it that exceeds the true need with no more than the accepted risk.
 */
export function goalAndCommit(request: ReductionRequest): { readonly goal: number; readonly commit: number } {
  const { neededMm, neededSdMm, stepMm, overshootRisk } = request;
  const goal = stepsWithin(neededMm, stepMm);
  const marginMm = neededSdMm === 0 ? 0 : normalQuantile(1 - overshootRisk) * neededSdMm;
  // At a risk of 0 or 1 the margin is infinite: nothing, or all of the goal, is then committed.
  return { goal, commit: Math.min(goal, stepsWithin(neededMm - marginMm, stepMm)) };
}

/** The most whole steps the limits and visits leave of the goal. */
export function reachableSteps(asked: ReductionRequest): number {
  const total = asked.contacts.reduce((sum, contact) => sum + contactRoom(contact, asked).bound, 0);
  return Math.min(goalAndCommit(asked).goal, total);
}

/**
 * The reduction plan of one arch: reach as much of the goal as the limits allow; least worst share of capacity;
 * least sum of amount² ÷ capacity; nearer the midline, right before left; surfaces share equally; committed
 * tenths as early as allowed, held-back tenths as late as allowed. The tenths held back are those that remain
 * when the commitment is shared by the same rules inside the plan, so what is committed is itself a best
 * plan wherever the two can be had together. `commitMm` is what may be committed even where the limits allow less.
 * With the option `midline` the right side's enamel less the left's comes as near as it can to what moves the midline
 * as wished, before the shares are weighed; reach still comes first.
 *
 * Units:    mm in, mm out, multiples of `stepMm`; contacts in the order asked, whose order changes nothing else.
 * Refuses:  'request-invalid', 'schema-unknown', 'schema-newer' as readReductionRequest.
 * Accuracy: exact; equal to full enumeration on 600 random requests — tests/core/reduction/bruteForce.test.ts;
 *           with the midline on 300 more — tests/core/reduction/sidesInBalance.test.ts.
 */
export function planReduction(request: ReductionRequest, options: PlanOptions = {}): ReductionPlan {
  const asked = readReductionRequest(request);
  const rooms = asked.contacts.map((contact) => contactRoom(contact, asked));
  return planOfShares(asked, shareBy(asked, options)(reachableSteps(asked), rooms), options);
}

/** How steps are shared over contacts: by the rules alone, or with the sides brought to a difference first. */
function shareBy(asked: ReductionRequest, { midline }: PlanOptions): ShareSteps {
  if (!midline) return (total, rooms) => sharedByPreference(total, asked, rooms);
  checkMidline(midline);
  return (total, rooms) => sharedBySides(total, asked, rooms, midline);
}

/** Shares whole steps over contacts with the given room, in the order asked. */
type ShareSteps = (total: number, rooms: readonly ContactRoom[]) => readonly number[];

function checkMidline({ shiftToRightMm, toleranceMm }: MidlineWish): void {
  const faulty = !Number.isFinite(shiftToRightMm)
    ? 'shiftToRightMm'
    : !(Number.isFinite(toleranceMm) && toleranceMm >= 0)
      ? 'toleranceMm'
      : null;
  if (faulty === null) return;
  throw new Refusal(
    'request-invalid',
    `planReduction: midline.${faulty} is not valid; got ${{ shiftToRightMm, toleranceMm }[faulty]}, need ${faulty === 'toleranceMm' ? 'a length of 0 or more' : 'a length'} in mm. Correct the field and ask again.`,
    { field: `midline.${faulty}` },
  );
}

/** Steps per contact, in the order asked, by the rules of `allocateSteps`. */
function sharedByPreference(
  total: number,
  asked: ReductionRequest,
  rooms: readonly ContactRoom[],
): readonly number[] {
  const preferred = rooms
    .map((_, i) => i)
    .sort((i, j) => byPreference(asked.contacts[i].teeth, asked.contacts[j].teeth));
  const shared = allocateSteps(total, {
    capacities: preferred.map((i) => rooms[i].capacity),
    bounds: preferred.map((i) => rooms[i].bound),
  });
  const steps = rooms.map(() => 0);
  for (const [k, i] of preferred.entries()) steps[i] = shared[k];
  return steps;
}

/**
 * The whole plan once the steps per contact are settled: what of them is committed, visits, surfaces, forecast.
 * Shape: `asked` is checked; `totals` in whole steps, in the order asked, within every limit. What goes beyond the
 * goal (both arches weighed against their ratio) is never committed. Refuses: 'request-invalid' (the wish for the midline).
 */
export function planOfShares(
  asked: ReductionRequest,
  totals: readonly number[],
  options: PlanOptions = {},
): ReductionPlan {
  const { stepMm } = asked;
  const { goal, commit } = goalAndCommit(asked);
  const planned = totals.reduce((sum, steps) => sum + steps, 0);
  const rooms = asked.contacts.map((contact) => contactRoom(contact, asked));
  const inside = rooms.map((room, i) => ({ ...room, bound: totals[i] }));
  const committed = shareBy(asked, options)(Math.min(commit, planned), inside);
  const contacts = asked.contacts.map((contact, i): PlanContact => {
    const heldBack = totals[i] - committed[i];
    const room = {
      visits: asked.visits,
      firstVisit: contact.reachableFromVisit,
      perVisit: rooms[i].perVisit,
    };
    const totalMm = stepsToMm(totals[i], stepMm);
    return {
      teeth: contact.teeth,
      totalMm,
      surfacesMm: shareSurfaces(totalMm, contact.surfaceLimitsMm),
      byVisitMm: scheduleVisits(committed[i], heldBack, room).map((steps) => stepsToMm(steps, stepMm)),
      heldBackMm: stepsToMm(heldBack, stepMm),
    };
  });
  const plannedMm = stepsToMm(planned, stepMm);
  return {
    schema: 'archledger/reduction-plan@1',
    status: planned === 0 && goal === 0 ? 'none' : planned >= goal ? 'meets' : 'short',
    goalMm: stepsToMm(goal, stepMm),
    commitMm: stepsToMm(commit, stepMm),
    plannedMm,
    heldBackMm: stepsToMm(Math.max(0, planned - commit), stepMm),
    shortMm: stepsToMm(Math.max(0, goal - planned), stepMm),
    contacts,
    forecast: forecastResidual({
      cutMm: plannedMm,
      cutSdMm: 0,
      neededMm: asked.neededMm,
      neededSdMm: asked.neededSdMm,
    }),
  };
}
