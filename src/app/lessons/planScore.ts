import type { Contact } from '../../core/base/tooth.ts';
import { contactRoom } from '../../core/reduction/planReduction.ts';
import type { PlanForecast, ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { pointsFor } from './points.ts';

export interface PlanSide {
  readonly plannedMm: number;
  readonly worstShare: number; // largest amount ÷ capacity, 0–1; above 1 beyond the limits
  readonly forecast: PlanForecast;
}

/** A student's plan beside the exact one. */
export interface PlanScore {
  readonly own: PlanSide;
  readonly exact: PlanSide;
  readonly contacts: readonly {
    readonly teeth: Contact;
    readonly ownMm: number;
    readonly exactMm: number;
    readonly ownShare: number;
    readonly exactShare: number;
  }[];
  readonly points: number; // 0–100
}

const SUM_FULL_MM = 0.1;
const SUM_NONE_MM = 1.5;
const SHARE_FULL = 0.05; // above the least worst share there is
const SHARE_NONE = 0.5;

/**
 * Half the points are for the sum, by how far it is from the exact plan's; half for sparing the enamel, by how far
 * the largest share of what a contact can bear lies above the least there can be. Nothing planned is no sparing.
 *
 * Shape:    both plans answer `request`, contact by contact.
 */
export function planScore(own: ReductionPlan, exact: ReductionPlan, request: ReductionRequest): PlanScore {
  const contacts = request.contacts.map((contact, i) => {
    const capacityMm = contactRoom(contact, request).capacity * request.stepMm;
    const share = (mm: number) => (capacityMm > 0 ? mm / capacityMm : mm > 0 ? 2 : 0);
    const [ownMm, exactMm] = [own.contacts[i].totalMm, exact.contacts[i].totalMm];
    return { teeth: contact.teeth, ownMm, exactMm, ownShare: share(ownMm), exactShare: share(exactMm) };
  });
  const side = (plan: ReductionPlan, shares: readonly number[]): PlanSide => ({
    plannedMm: plan.plannedMm,
    worstShare: Math.max(0, ...shares),
    forecast: plan.forecast,
  });
  const mine = side(
    own,
    contacts.map((c) => c.ownShare),
  );
  const best = side(
    exact,
    contacts.map((c) => c.exactShare),
  );
  const sum = pointsFor(mine.plannedMm - best.plannedMm, SUM_FULL_MM, SUM_NONE_MM);
  const sparing = pointsFor(Math.max(0, mine.worstShare - best.worstShare), SHARE_FULL, SHARE_NONE);
  const nothing = mine.plannedMm === 0 && best.plannedMm > 0;
  return { own: mine, exact: best, contacts, points: nothing ? 0 : (sum + sparing) / 2 };
}
