import type { Contact } from '../base/tooth.ts';
import { contactRoom } from './planReduction.ts';
import type { ReductionPlan, ReductionRequest, RequestContact } from './ReductionPlan.ts';
import { stepsToMm, stepsWithin } from './stepAmounts.ts';

/** What keeps a contact from giving more. */
export type BindingLimit =
  | 'locked'
  | 'contact-limit' // the contact's own limit is used up (or holds no step)
  | 'surface-limits' // the enamel of its surfaces is used up (or holds no step)
  | 'not-reachable' // it opens only after the last visit
  | 'visits' // its remaining visits hold no more
  | 'none'; // it could give more; the goal is reached without it

export interface ContactBinding {
  readonly teeth: Contact;
  readonly binds: BindingLimit;
  readonly amountMm: number;
  readonly capacityMm: number;
  readonly spareMm: number; // what it could still give
  readonly share: number; // amount ÷ capacity; 0 where there is no capacity
  readonly text: string;
}

/**
 * For each contact of a plan, the limit that stops it, with a sentence for people.
 * Shape: same order as the request. Units: mm.
 */
export function whatBinds(plan: ReductionPlan, request: ReductionRequest): readonly ContactBinding[] {
  const worst = Math.max(0, ...request.contacts.map((contact, i) => shareOf(contact, request, plan, i)));
  return request.contacts.map((contact, i) => {
    const room = contactRoom(contact, request);
    const amountMm = plan.contacts[i].totalMm;
    const binds = bindingLimit(contact, request, stepsWithin(amountMm, request.stepMm));
    return {
      teeth: contact.teeth,
      binds,
      amountMm,
      capacityMm: stepsToMm(room.capacity, request.stepMm),
      spareMm: stepsToMm(room.bound - stepsWithin(amountMm, request.stepMm), request.stepMm),
      share: shareOf(contact, request, plan, i),
      text: bindingText(binds, contact, request, amountMm, worst),
    };
  });
}

function shareOf(contact: RequestContact, request: ReductionRequest, plan: ReductionPlan, i: number): number {
  const { capacity } = contactRoom(contact, request);
  return capacity === 0 ? 0 : stepsWithin(plan.contacts[i].totalMm, request.stepMm) / capacity;
}

function bindingLimit(contact: RequestContact, request: ReductionRequest, steps: number): BindingLimit {
  if (contact.locked) return 'locked';
  const room = contactRoom(contact, request);
  if (steps < room.bound) return 'none';
  if (room.bound === room.capacity) {
    const surfacesMm = contact.surfaceLimitsMm[0] + contact.surfaceLimitsMm[1];
    return surfacesMm < contact.limitMm ? 'surface-limits' : 'contact-limit';
  }
  return contact.reachableFromVisit > request.visits ? 'not-reachable' : 'visits';
}

function bindingText(
  binds: BindingLimit,
  contact: RequestContact,
  request: ReductionRequest,
  amountMm: number,
  worst: number,
): string {
  const amount = `${amountMm.toFixed(decimalsOf(request.stepMm))} mm`;
  const surfaces = `${contact.surfaceLimitsMm[0].toFixed(2)} and ${contact.surfaceLimitsMm[1].toFixed(2)} mm`;
  switch (binds) {
    case 'locked':
      return 'Locked: nothing is taken here.';
    case 'contact-limit':
      return `${amount}: all that the contact limit of ${contact.limitMm} mm allows.`;
    case 'surface-limits':
      return `${amount}: all that the limits of its two surfaces (${surfaces}) allow.`;
    case 'not-reachable':
      return `Out of reach until visit ${contact.reachableFromVisit}, after the last of ${request.visits}.`;
    case 'visits':
      return `${amount}: all that visits ${contact.reachableFromVisit} to ${request.visits} allow at ${request.perVisitLimitMm} mm a visit.`;
    default:
      return amountMm > 0
        ? `${amount}: its fair share; no contact gives more than ${Math.round(worst * 100)} % of its capacity.`
        : 'Not needed: the goal is reached without it.';
  }
}

/** Decimals that show a step: 1 for 0.1, 2 for 0.05. */
const decimalsOf = (stepMm: number): number => {
  const text = String(stepMm);
  return Math.min(4, text.includes('.') ? text.length - text.indexOf('.') - 1 : 1);
};
