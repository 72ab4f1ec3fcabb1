import type { Estimate } from '../measure/ArchMeasures.ts';
import { goalAndCommit, planReduction } from '../reduction/planReduction.ts';
import type { PlanContact, ReductionPlan, ReductionRequest } from '../reduction/ReductionPlan.ts';
import { stepsToMm, tidyMm } from '../reduction/stepAmounts.ts';
import type { ContactTaken, SurfaceTaken } from './enamelTaken.ts';

export interface RestInput {
  /** The request of the plan as it was agreed, before anything was cut. */
  readonly request: ReductionRequest;
  /** Space still needed now; negative: too much. */
  readonly needed: Estimate;
  readonly contacts: readonly ContactTaken[]; // of the request's contacts, in its order
  readonly surfaces: readonly SurfaceTaken[]; // two for each of them
  readonly visitsHeld: number;
  /** Where space is in excess nothing may be cut anywhere in the arch. */
  readonly isBlocked: boolean;
}

export interface RestOfPlan {
  readonly request: ReductionRequest;
  readonly plan: ReductionPlan;
  /** Visits planned at first that are still to come; 0: the plan's visits are used up, one more is counted. */
  readonly visitsLeft: number;
  /** The first visit of the rest, counted from the beginning of treatment. */
  readonly nextVisit: number;
}

const VISITS_MAX = 60; // as a reduction request allows

/**
 * What is still to be cut: the same plan asked anew for the space still needed, each contact's and surface's limit
 * lessened by the enamel already taken. Held-back tenths stay held back unless a re-measurement made the need sure.
 *
 * Units:    mm. Shape: the rest's contacts stand in the order of the request.
 * Refuses:  as planReduction.
 * Accuracy: no contact or surface ever passes its limit with what was taken counted in —
 *           tests/core/visits/balance.test.ts.
 */
export function restOfPlan({
  request,
  needed,
  contacts,
  surfaces,
  visitsHeld,
  isBlocked,
}: RestInput): RestOfPlan {
  const visitsLeft = Math.max(0, request.visits - visitsHeld);
  const rest: ReductionRequest = {
    ...request,
    neededMm: tidyMm(needed.valueMm),
    neededSdMm: tidyMm(needed.sdMm),
    visits: Math.max(1, visitsLeft),
    contacts: request.contacts.map((contact, i) => ({
      ...contact,
      limitMm: less(contact.limitMm, contacts[i].taken.valueMm),
      surfaceLimitsMm: [
        less(contact.surfaceLimitsMm[0], surfaces[2 * i].taken.valueMm),
        less(contact.surfaceLimitsMm[1], surfaces[2 * i + 1].taken.valueMm),
      ],
      locked: contact.locked || isBlocked,
      reachableFromVisit: Math.min(VISITS_MAX, Math.max(1, contact.reachableFromVisit - visitsHeld)),
    })),
  };
  return { request: rest, plan: planReduction(rest), visitsLeft, nextVisit: visitsHeld + 1 };
}

const less = (limitMm: number, takenMm: number): number =>
  tidyMm(Math.max(0, limitMm - Math.max(0, takenMm)));

/** What the rest commits to now, of what the limits allow. Units: mm. */
export function committedMm({ request, plan }: Pick<RestOfPlan, 'request' | 'plan'>): number {
  const { commit } = goalAndCommit(request);
  return Math.min(stepsToMm(commit, request.stepMm), plan.plannedMm);
}

/** How much of each visit's amount is held back: what is held back lies in the last visits. Units: mm. */
function heldBackByVisit(contact: PlanContact): readonly number[] {
  const held = contact.byVisitMm.map(() => 0);
  let left = contact.heldBackMm;
  for (let visit = held.length - 1; visit >= 0 && left > 1e-9; visit--) {
    held[visit] = tidyMm(Math.min(left, contact.byVisitMm[visit]));
    left -= held[visit];
  }
  return held;
}

/** What may be cut at a contact in a visit of a plan, counted from 1: its amount without what is held back. Units: mm. */
export function dueInVisit(contact: PlanContact, visit: number): number {
  const amount = contact.byVisitMm[visit - 1] ?? 0;
  return tidyMm(amount - (heldBackByVisit(contact)[visit - 1] ?? 0));
}
