import { type Contact, siteFacing } from '../base/tooth.ts';
import { sameTeeth } from './contactOrder.ts';
import { enamelThickness } from './enamel.ts';
import { contactRoom, type PlanOptions, planOfShares } from './planReduction.ts';
import type { ReductionPlan, ReductionRequest, RequestContact } from './ReductionPlan.ts';
import type { BuiltRequest, ContactLimits } from './reductionRequest.ts';
import { stepsToMm, stepsWithin, tidyMm } from './stepAmounts.ts';

/** What the user wants taken at one contact in place of the plan's amount. */
export interface OwnAmount {
  readonly teeth: Contact;
  readonly amountMm: number;
  readonly reason: string; // recorded where the amount lies above a limit; else empty
}

/** A limit that an own amount does not keep. Those of contact and surfaces may be exceeded with a reason, the rest never. */
export type OwnLimit =
  | 'contact-limit'
  | 'surface-limits'
  | 'locked'
  | 'visits'
  | 'enamel'
  | 'step'
  | 'no-contact';

export interface OwnExcess {
  readonly teeth: Contact;
  readonly limit: OwnLimit;
  readonly wishedMm: number;
  readonly limitMm: number;
  readonly countsMm: number; // the amount in force
  readonly needsReason: boolean; // a recorded reason would let it stand, and there is none
  readonly words: string; // what is exceeded; see `excessWords` for the sentence
}

/** The user's amounts as a plan. `request` and `limits` are those asked, raised where a reason is on record. */
export interface OwnPlan {
  readonly plan: ReductionPlan;
  readonly request: ReductionRequest;
  readonly limits: readonly ContactLimits[];
  readonly excesses: readonly OwnExcess[];
}

/**
 * The most whole steps that can be tried at a contact: all the enamel of its two surfaces (a radiograph's, else the
 * published mean, less what was taken earlier), or its limits where these allow more; never above what its visits
 * hold. 0 where locked. Shape: `limits` are those of the contact.
 */
export function mostOwnSteps(
  contact: RequestContact,
  limits: ContactLimits,
  request: ReductionRequest,
): number {
  if (contact.locked) return 0;
  return Math.min(visitSteps(contact, request), enamelSteps(contact, limits, request));
}

function visitSteps(contact: RequestContact, request: ReductionRequest): number {
  return contactRoom({ ...contact, limitMm: ANY_MM, surfaceLimitsMm: [ANY_MM, ANY_MM] }, request).bound;
}

const ANY_MM = 1e3;

function enamelSteps(contact: RequestContact, limits: ContactLimits, request: ReductionRequest): number {
  const { teeth } = contact;
  const leftMm = ([0, 1] as const).map((i) => {
    const wholeMm =
      limits.radiographMm[i] ?? enamelThickness(teeth[i], siteFacing(teeth[i], teeth[1 - i]))?.meanMm ?? 0;
    return Math.max(0, wholeMm - limits.earlierMm[i]);
  });
  return Math.max(contactRoom(contact, request).capacity, stepsWithin(leftMm[0] + leftMm[1], request.stepMm));
}

/**
 * The plan that the user's own amounts make: visits, surfaces, what is held back and forecast by the same rules as the
 * exact plan's. An amount above a limit counts only with its recorded reason; without one the limit stands, and
 * `excesses` says so. A contact without an own amount gives nothing. `options` as the exact plan was made with.
 *
 * Units:    mm; amounts count in whole steps, rounded down.
 * Refuses:  'request-invalid' (the wish for the midline).
 * Accuracy: own amounts equal to the plan's give the plan, field for field, on 300 random requests —
 *           tests/core/reduction/ownAmounts.test.ts.
 */
export function planOfOwnAmounts(
  own: readonly OwnAmount[],
  { request, limits }: Pick<BuiltRequest, 'request' | 'limits'>,
  options: PlanOptions = {},
): OwnPlan {
  const excesses: OwnExcess[] = own
    .filter(({ teeth, amountMm }) => amountMm > 0 && !request.contacts.some((c) => sameTeeth(c.teeth, teeth)))
    .map(({ teeth, amountMm }) => ({
      teeth,
      limit: 'no-contact',
      wishedMm: amountMm,
      limitMm: 0,
      countsMm: 0,
      needsReason: false,
      words: 'no such contact in the plan any more',
    }));
  const raised = request.contacts.map((contact, i) => {
    const wish = own.find(({ teeth }) => sameTeeth(teeth, contact.teeth));
    const found = ownAtContact(wish, contact, limits[i], request);
    excesses.push(...found.excesses);
    return { ...found, limits: raisedLimits(limits[i], found, wish) };
  });
  const raisedRequest = { ...request, contacts: raised.map(({ contact }) => contact) };
  const steps = raised.map((one) => one.steps);
  return {
    plan: planOfShares(raisedRequest, steps, options),
    request: raisedRequest,
    limits: raised.map((one) => one.limits),
    excesses,
  };
}

interface AtContact {
  readonly steps: number;
  readonly contact: RequestContact; // with its limits raised where a reason stands
  readonly isRaised: boolean;
  readonly excesses: readonly OwnExcess[];
}

function ownAtContact(
  wish: OwnAmount | undefined,
  contact: RequestContact,
  limits: ContactLimits,
  request: ReductionRequest,
): AtContact {
  const { stepMm } = request;
  const wishedMm = tidyMm(wish?.amountMm ?? 0);
  const wished = stepsWithin(wishedMm, stepMm);
  const hasReason = (wish?.reason.trim() ?? '') !== '';
  const surfacesMm = tidyMm(contact.surfaceLimitsMm[0] + contact.surfaceLimitsMm[1]);
  const visits = visitSteps(contact, request);
  const enamel = enamelSteps(contact, limits, request);
  const byLimits = hasReason ? Number.POSITIVE_INFINITY : contactRoom(contact, request).capacity;
  const steps = contact.locked ? 0 : Math.min(wished, visits, enamel, byLimits);
  const countsMm = stepsToMm(steps, stepMm);

  const excesses: OwnExcess[] = [];
  const say = (limit: OwnLimit, limitMm: number, words: string): void => {
    const needsReason = (limit === 'contact-limit' || limit === 'surface-limits') && !hasReason;
    excesses.push({ teeth: contact.teeth, limit, wishedMm, limitMm, countsMm, needsReason, words });
  };
  const mm = (steps_: number) => stepsToMm(steps_, stepMm);
  const above = (mostMm: number) => `${(wishedMm - mostMm).toFixed(2)} mm above`;
  if (contact.locked && wished > 0) say('locked', 0, 'the contact is locked');
  else {
    if (wished > visits)
      say('visits', mm(visits), `its visits hold ${mm(visits)} mm at ${request.perVisitLimitMm} mm a visit`);
    if (wished > enamel)
      say('enamel', mm(enamel), `more than all the enamel of its surfaces, ${mm(enamel)} mm`);
    if (wished > stepsWithin(contact.limitMm, stepMm))
      say(
        'contact-limit',
        contact.limitMm,
        `${above(contact.limitMm)} the contact limit of ${contact.limitMm} mm`,
      );
    if (wished > stepsWithin(surfacesMm, stepMm))
      say(
        'surface-limits',
        surfacesMm,
        `${above(surfacesMm)} the limits of its two surfaces, ${surfacesMm.toFixed(2)} mm together`,
      );
    if (wishedMm - mm(wished) > 1e-9) say('step', mm(wished), `no whole number of steps of ${stepMm} mm`);
  }
  const isRaised = steps > contactRoom(contact, request).capacity;
  return { steps, contact: isRaised ? raisedTo(countsMm, contact) : contact, isRaised, excesses };
}

/** What one contact's own amount does not keep, and what then counts, as a sentence that names no tooth. */
export function excessWords(excesses: readonly OwnExcess[]): string {
  if (excesses.length === 0) return '';
  const [{ wishedMm, countsMm }] = excesses;
  const until = excesses.some(({ needsReason }) => needsReason) ? ' until a reason is recorded' : '';
  const counts = countsMm < wishedMm - 1e-9 ? `; ${inFull(countsMm)} mm counts${until}` : '';
  return `${inFull(wishedMm)} mm: ${excesses.map(({ words }) => words).join(', ')}${counts}.`;
}

/** An amount with all its decimals (steps may be finer than tenths), and at least one. */
const inFull = (mm: number): string => {
  const decimals = String(Number(mm.toFixed(3))).split('.')[1]?.length ?? 0;
  return mm.toFixed(Math.max(1, decimals));
};

/** The contact with limits that hold the amount; what the surfaces' limits lack is added half to each. */
function raisedTo(totalMm: number, contact: RequestContact): RequestContact {
  const [a, b] = contact.surfaceLimitsMm;
  const lacks = Math.max(0, totalMm - (a + b)) / 2;
  return {
    ...contact,
    limitMm: Math.max(contact.limitMm, totalMm),
    surfaceLimitsMm: lacks > 0 ? [tidyMm(a + lacks), tidyMm(totalMm - tidyMm(a + lacks))] : [a, b],
  };
}

function raisedLimits(limits: ContactLimits, found: AtContact, wish: OwnAmount | undefined): ContactLimits {
  if (!found.isRaised || !wish) return limits;
  const { limitMm, surfaceLimitsMm } = found.contact;
  const from = (i: 0 | 1) => (surfaceLimitsMm[i] > limits.surfacesMm[i] ? 'user' : limits.surfaceFrom[i]);
  return {
    ...limits,
    limitMm,
    limitFrom: limitMm > limits.limitMm ? 'user' : limits.limitFrom,
    surfacesMm: surfaceLimitsMm,
    surfaceFrom: [from(0), from(1)],
    stricter: surfaceLimitsMm[0] + surfaceLimitsMm[1] < limitMm ? 'surfaces' : 'contact',
    exceedsDefault: true,
    reason: wish.reason.trim(),
    reasonMissing: false,
  };
}

/** The amounts of a plan as the user's own, to start a trial from. Units: mm. */
export const ownAmountsOf = (plan: Pick<ReductionPlan, 'contacts'>): readonly OwnAmount[] =>
  plan.contacts.map(({ teeth, totalMm }) => ({ teeth, amountMm: totalMm, reason: '' }));
