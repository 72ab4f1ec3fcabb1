import type { Contact } from '../base/tooth.ts';
import { sameTeeth } from './contactOrder.ts';
import { BAND_TOLERANCE_MM } from './jointSearch.ts';
import { contactRoom, goalAndCommit, type PlanOptions, reachableSteps } from './planReduction.ts';
import type { ReductionPlan, ReductionRequest } from './ReductionPlan.ts';
import { shareSurfaces } from './shareSurfaces.ts';
import { missesMm, sideBalance } from './sidesInBalance.ts';
import { stepsToMm, stepsWithin, tidyMm } from './stepAmounts.ts';
import { whatBinds } from './whatBinds.ts';

/** A kind of limit and what it keeps back from a plan that falls short. */
export interface HeldByLimit {
  readonly limit: 'locks' | 'visits' | 'contact-limits' | 'surface-limits';
  readonly amountMm: number; // more the plan would reach without it, the others standing
  readonly text: string;
}

export interface PlanReach {
  /** What stops the plan as a whole: the need, the limits, or that nothing is needed. */
  readonly binds: 'need' | 'limits' | 'nothing-needed';
  readonly text: string;
  readonly heldBy: readonly HeldByLimit[]; // empty unless limits bind; a description, no advice to lift them
}

/**
 * Why the plan reaches as far as it does, and what each kind of limit keeps back.
 * Units: mm. Each amount is found by planning again without that kind of limit alone.
 */
export function planReach(plan: ReductionPlan, request: ReductionRequest): PlanReach {
  if (plan.status === 'none')
    return { binds: 'nothing-needed', text: 'Less than one step is needed: nothing is taken.', heldBy: [] };
  if (plan.status === 'meets')
    return {
      binds: 'need',
      text: `The need binds: ${plan.goalMm} mm are the most whole steps within the ${request.neededMm.toFixed(2)} mm needed.`,
      heldBy: [],
    };
  const reached = reachableSteps(request);
  const without = (change: (contact: Mutable) => Partial<Mutable>, visits = request.visits): number => {
    const contacts = request.contacts.map((contact) => ({ ...contact, ...change(contact) }));
    return stepsToMm(reachableSteps({ ...request, contacts, visits }) - reached, request.stepMm);
  };
  // As many visits as the largest capacity takes at the least per visit, all of them open to every contact.
  const manyVisits = Math.max(request.visits, ...request.contacts.map((c) => visitsFor(c.limitMm, request)));
  const amounts: readonly (readonly [HeldByLimit['limit'], number, string])[] = [
    ['locks', without(() => ({ locked: false })), 'The locks'],
    ['visits', without(() => ({ reachableFromVisit: 1 }), manyVisits), 'The visits and when contacts open'],
    [
      'contact-limits',
      without((c) => ({ limitMm: Math.max(c.limitMm, c.surfaceLimitsMm[0] + c.surfaceLimitsMm[1]) })),
      'The limits per contact',
    ],
    [
      'surface-limits',
      without((c) => ({
        surfaceLimitsMm: [Math.max(c.limitMm, c.surfaceLimitsMm[0]), c.surfaceLimitsMm[1]],
      })),
      'The enamel limits of the surfaces',
    ],
  ];
  return {
    binds: 'limits',
    text: `The limits bind: they allow ${plan.plannedMm} of ${plan.goalMm} mm; ${plan.shortMm} mm are short.`,
    heldBy: amounts
      .filter(([, amountMm]) => amountMm > 0)
      .map(([limit, amountMm, who]) => ({
        limit,
        amountMm,
        text: `${who} keep back ${amountMm} mm that the other limits would allow.`,
      })),
  };
}

type Mutable = ReductionRequest['contacts'][number];

const visitsFor = (limitMm: number, { perVisitLimitMm, stepMm }: ReductionRequest): number => {
  const perVisit = stepsWithin(perVisitLimitMm, stepMm);
  return perVisit === 0 ? 1 : Math.ceil(stepsWithin(limitMm, stepMm) / perVisit);
};

/** The rule that decides against moving one step from a contact to another. */
export type DecidingRule =
  | 'limit' // the contact that would take it cannot
  | 'nothing-to-give' // nothing is planned at the other
  | 'midline' // the sides would lie further from the wish
  | 'ratio' // the tooth-size ratio would lie further from its band
  | 'worst-share' // a contact would come nearer to its limit than any does now
  | 'evenness' // the shares would be less even
  | 'preference'; // as even, but the other contact comes first: nearer the midline, then right before left

export interface WhyNotInstead {
  readonly rule: DecidingRule;
  readonly text: string;
}

/** What a plan was made with, for its reasons. */
export interface ReasonOptions extends PlanOptions {
  /** Distance of the pair from its ratio bands, mm, for other steps of this arch; where both were planned together. */
  readonly outsideBandsMm?: (steps: readonly number[]) => number;
  /** How contacts are called. Default: "42|41". */
  readonly nameOf?: (teeth: Contact) => string;
}

/**
 * Why a step is planned at one contact and not at another: the first rule in the plan's order that decides.
 *
 * Shape:    `take` would get the step, `give` would lose it; both in the request. `options` as the plan was made with.
 * Accuracy: a rule is found for every pair of 300 random plans and fits the plan's own measure —
 *           tests/core/reduction/planReasons.test.ts.
 */
export function whyNotInstead(
  plan: ReductionPlan,
  request: ReductionRequest,
  { take, give }: { readonly take: Contact; readonly give: Contact },
  options: ReasonOptions = {},
): WhyNotInstead {
  const at = (teeth: Contact): number => {
    const i = request.contacts.findIndex((contact) => sameTeeth(contact.teeth, teeth));
    if (i < 0) throw new Error(`whyNotInstead: no contact ${teeth.join('|')} in the request.`);
    return i;
  };
  const [to, from] = [at(take), at(give)];
  if (to === from) throw new Error('whyNotInstead: the same contact twice.');
  const rooms = request.contacts.map((contact) => contactRoom(contact, request));
  const steps = plan.contacts.map((contact) => stepsWithin(contact.totalMm, request.stepMm));
  const nameOf = options.nameOf ?? ((teeth) => teeth.join('|'));
  const [name, other] = [nameOf(take), nameOf(give)];
  if (steps[from] === 0)
    return { rule: 'nothing-to-give', text: `Nothing is planned at ${other} that ${name} could take over.` };
  if (steps[to] >= rooms[to].bound)
    return { rule: 'limit', text: `${name} can give no more. ${whatBinds(plan, request)[to].text}` };

  const moved = steps.map((s, i) => s + (i === to ? 1 : i === from ? -1 : 0));
  const wish = options.midline ?? null;
  if (wish) {
    const missed = (x: readonly number[]) => missesMm(shiftOf(x, request), wish);
    if (missed(moved) > missed(steps))
      return {
        rule: 'midline',
        text: `The middle of the arch would then miss the wish by ${tidyMm(missed(moved) - missed(steps)).toFixed(2)} mm more.`,
      };
  }
  const outside = options.outsideBandsMm;
  if (outside && outside(moved) > outside(steps) + BAND_TOLERANCE_MM / 2)
    return {
      rule: 'ratio',
      text: `The tooth-size ratio would lie ${(outside(moved) - outside(steps)).toFixed(2)} mm further from its band.`,
    };
  const worst = (x: readonly number[]) => Math.max(...x.map((s, i) => (s > 0 ? s / rooms[i].capacity : 0)));
  if (worst(moved) > worst(steps) + 1e-12)
    return {
      rule: 'worst-share',
      text: `${name} would give ${percent(moved[to] / rooms[to].capacity)} of its capacity; now no contact gives more than ${percent(worst(steps))}.`,
    };
  const [toCost, fromCost] = [
    (2 * steps[to] + 1) * rooms[from].capacity,
    (2 * steps[from] - 1) * rooms[to].capacity,
  ];
  if (toCost > fromCost)
    return {
      rule: 'evenness',
      text: `The load would be less even: ${name} at ${percent(moved[to] / rooms[to].capacity)} and ${other} at ${percent(moved[from] / rooms[from].capacity)}, instead of ${percent(steps[to] / rooms[to].capacity)} and ${percent(steps[from] / rooms[from].capacity)}.`,
    };
  return {
    rule: 'preference',
    text: `As even either way; ${other} lies nearer the midline, or on the right where both lie alike.`,
  };
}

const shiftOf = (steps: readonly number[], request: ReductionRequest): number =>
  sideBalance({
    contacts: request.contacts.map(({ teeth, surfaceLimitsMm }, i) => {
      const totalMm = stepsToMm(steps[i], request.stepMm);
      return {
        teeth,
        totalMm,
        surfacesMm: shareSurfaces(totalMm, surfaceLimitsMm),
        byVisitMm: [],
        heldBackMm: 0,
      };
    }),
  }).shiftToRightMm;

const percent = (share: number): string => `${Math.round(100 * share)} %`;

/** What is committed of the goal and why, for people. Units: mm. */
export function commitmentReason(request: ReductionRequest): string {
  const { goal, commit } = goalAndCommit(request);
  const { stepMm, neededSdMm, overshootRisk } = request;
  const [goalMm, commitMm] = [stepsToMm(goal, stepMm), stepsToMm(commit, stepMm)];
  if (goal === 0) return 'Less than one step is needed: nothing is committed.';
  if (commit === goal)
    return `All ${goalMm} mm may be cut: the need is known well enough for a risk of ${percent(overshootRisk)}.`;
  return `${commitMm} of ${goalMm} mm may be cut now: with an SD of ${neededSdMm.toFixed(2)} mm, more would exceed the true need with a chance above ${percent(overshootRisk)}. The rest waits for a re-measurement.`;
}
