import { Refusal } from '../base/refusal.ts';
import type { Jaw } from '../base/tooth.ts';
import { byPreference } from './contactOrder.ts';
import { BAND_TOLERANCE_MM, JointSearch, type Shares, type ShiftRange, worstShare } from './jointSearch.ts';
import type { MixedIntegerSolver } from './mixedInteger.ts';
import { planOfShares, planReduction, reachableSteps } from './planReduction.ts';
import type { ReductionPlan, ReductionRequest } from './ReductionPlan.ts';
import { readReductionRequest } from './requestSchema.ts';
import { type MidlineWish, missesMm, sideBalance } from './sidesInBalance.ts';
import { stepsToMm, stepsWithin } from './stepAmounts.ts';
import { type JointContact, jointContacts, outsideBandsMm, type RatioBand } from './twoArchModel.ts';

type ByJaw<T> = Readonly<Record<Jaw, T>>;

export interface BothArches {
  readonly upper: ReductionRequest;
  readonly lower: ReductionRequest;
  readonly bands: readonly RatioBand[];
  /** The most each arch may give for the ratio beyond what its own account needs. Default: nothing. */
  readonly extraMm?: ByJaw<number>;
  /** As the single plan's option, for each arch. */
  readonly midline?: Partial<ByJaw<MidlineWish | null>>;
}

export interface BothPlans {
  readonly upper: ReductionPlan;
  readonly lower: ReductionPlan;
  /** Distance from the bands after the plan, mm of lower arch; 0 inside. */
  readonly outsideBandsMm: number;
  /** The bands changed the shares that each arch would have by itself. */
  readonly sharesMoved: boolean;
  /** What each arch gives beyond its own need, for the ratio; held back like all that is not sure. */
  readonly extraMm: ByJaw<number>;
  /** What the bands still ask for beyond the need and what is allowed of it; null inside the bands. */
  readonly cost: BandCost | null;
}

/** Enamel beyond the need of each arch that would bring the pair as near to its bands as the limits allow. */
export interface BandCost {
  readonly extraMm: ByJaw<number>; // in all, what the plan gives already included
  readonly outsideBandsMm: number; // left even then; 0: the bands are reached
}

const CAPACITY_MAX = 50; // steps; above it the solver's tolerance could confuse two shares

/**
 * Both arches together, in this order: each reaches as much of its goal as its limits allow; the midlines come as near
 * to their wishes as by the single plans; the tooth-size ratios come as near to their bands as the shares, and what
 * is allowed beyond the need, can bring them; as little as possible is taken beyond the need; then least worst share,
 * of the worse arch before the other (upper before lower when they tie); then the least sum of amount² ÷ capacity over
 * both; then nearer the midline, right before left, upper before lower. Reach goes before the ratio: unless `extraMm`
 * allows it, nothing is cut beyond what space needs, and what it allows is held back.
 *
 * Shape:    the solver is the loaded `highs` package. Without bands, or when each arch's own plan already comes as
 *           near as can be, the result is the two single plans.
 * Refuses:  as planReduction; 'request-invalid' for wrong jaws, two different steps, more than 50 steps per contact,
 *           an extra that is no length of 0 or more.
 * Accuracy: equal to full enumeration on random pairs, with and without extra and midlines —
 *           tests/core/reduction/planBothArches.test.ts.
 */
export function planBothArches(input: BothArches, solver: MixedIntegerSolver): BothPlans {
  const requests = [readReductionRequest(input.upper), readReductionRequest(input.lower)] as const;
  checkPair(requests, input.extraMm);
  const { bands } = input;
  checkBands(bands);
  const wishes = [input.midline?.upper ?? null, input.midline?.lower ?? null];
  const contacts = jointContacts(requests, bands);
  const own = [0, 1].map((arch) => planReduction(requests[arch], { midline: wishes[arch] }));
  const stepsOf = (plans: readonly ReductionPlan[]): readonly number[] =>
    plans.flatMap((plan, arch) => plan.contacts.map((c) => stepsWithin(c.totalMm, requests[arch].stepMm)));
  const ownOutside = outsideBandsMm(contacts, stepsOf(own), bands);
  const noExtra = { upper: 0, lower: 0 };
  const asIs = { upper: own[0], lower: own[1], outsideBandsMm: ownOutside, sharesMoved: false };
  if (ownOutside <= BAND_TOLERANCE_MM) return { ...asIs, extraMm: noExtra, cost: null };

  const planned = [reachableSteps(requests[0]), reachableSteps(requests[1])] as const;
  const midline = wishes.map((wish, arch): ShiftRange | null =>
    wish ? { wish, missedMm: missesMm(sideBalance(own[arch]).shiftToRightMm, wish) } : null,
  );
  const { stepMm } = requests[0];
  const searchWith = (extra: Shares) => new JointSearch(contacts, bands, { planned, extra, midline }, solver);
  const extra: Shares = [
    stepsWithin(input.extraMm?.upper ?? 0, stepMm),
    stepsWithin(input.extraMm?.lower ?? 0, stepMm),
  ];
  const cost = (outside: number): BandCost | null =>
    outside <= BAND_TOLERANCE_MM
      ? null
      : bandCost(searchWith(allOf(contacts)), contacts, planned, bands, stepMm);

  const search = searchWith(extra);
  const nearest = outsideBandsMm(contacts, search.nearestToBands(), bands);
  if (nearest >= ownOutside - BAND_TOLERANCE_MM) return { ...asIs, extraMm: noExtra, cost: cost(ownOutside) };
  const floor: Shares =
    extra[0] + extra[1] > 0
      ? [0, 0]
      : [worstShare(contacts, stepsOf(own), 0), worstShare(contacts, stepsOf(own), 1)];
  const steps = search.best(nearest, floor, (i, j) => comparePreference(contacts[i], contacts[j], requests));
  const upperCount = requests[0].contacts.length;
  const outside = outsideBandsMm(contacts, steps, bands);
  return {
    upper: planOfShares(requests[0], steps.slice(0, upperCount), { midline: wishes[0] }),
    lower: planOfShares(requests[1], steps.slice(upperCount), { midline: wishes[1] }),
    outsideBandsMm: outside,
    sharesMoved: true,
    extraMm: beyond(contacts, steps, planned, stepMm),
    cost: cost(outside),
  };
}

/**
 * How far a pair lies from its bands when one arch's steps are others than planned; for the reasons of that arch.
 * Shape: steps in the order of its request. Units: whole steps in, mm of lower arch out.
 */
export function outsideBandsFor(
  jaw: Jaw,
  input: Pick<BothArches, 'upper' | 'lower' | 'bands'>,
  plans: ByJaw<ReductionPlan>,
): (steps: readonly number[]) => number {
  const contacts = jointContacts([input.upper, input.lower], input.bands);
  const stepsOf = (other: Jaw) =>
    plans[other].contacts.map((c) => stepsWithin(c.totalMm, input[other].stepMm));
  const [upper, lower] = [stepsOf('upper'), stepsOf('lower')];
  return (steps) =>
    outsideBandsMm(contacts, jaw === 'upper' ? [...steps, ...lower] : [...upper, ...steps], input.bands);
}

/** All that the limits of each arch hold, in whole steps. */
function allOf(contacts: readonly JointContact[]): Shares {
  const most = (arch: number) => contacts.reduce((sum, c) => sum + (c.arch === arch ? c.bound : 0), 0);
  return [most(0), most(1)];
}

function beyond(
  contacts: readonly JointContact[],
  steps: readonly number[],
  planned: Shares,
  stepMm: number,
): ByJaw<number> {
  const over = (arch: 0 | 1): number =>
    stepsToMm(
      steps.reduce((sum, s, i) => sum + (contacts[i].arch === arch ? s : 0), 0) - planned[arch],
      stepMm,
    );
  return { upper: over(0), lower: over(1) };
}

function bandCost(
  search: JointSearch,
  contacts: readonly JointContact[],
  planned: Shares,
  bands: readonly RatioBand[],
  stepMm: number,
): BandCost {
  const nearest = outsideBandsMm(contacts, search.nearestToBands(), bands);
  const steps = search.leastSteps(nearest);
  const left = outsideBandsMm(contacts, steps, bands);
  return {
    extraMm: beyond(contacts, steps, planned, stepMm),
    outsideBandsMm: left <= BAND_TOLERANCE_MM ? 0 : left,
  };
}

function refusePair(field: string, what: string): never {
  throw new Refusal('request-invalid', `planBothArches: ${what}`, { field });
}

function checkPair(
  [upper, lower]: readonly [ReductionRequest, ReductionRequest],
  extraMm: BothArches['extraMm'],
): void {
  if (upper.jaw !== 'upper' || lower.jaw !== 'lower')
    refusePair(
      'jaw',
      `jaw is wrong; got ${upper.jaw} and ${lower.jaw}, need upper and lower. Exchange the requests.`,
    );
  if (upper.stepMm !== lower.stepMm)
    refusePair(
      'stepMm',
      `stepMm differs; got ${upper.stepMm} and ${lower.stepMm} mm, need one step for both arches. Choose one step.`,
    );
  for (const request of [upper, lower])
    for (const contact of request.contacts)
      if (stepsWithin(contact.limitMm, request.stepMm) > CAPACITY_MAX)
        refusePair(
          'stepMm',
          `stepMm is too fine for two arches; got ${contact.limitMm} mm in steps of ${request.stepMm} mm, need at most ${CAPACITY_MAX} steps. Choose a coarser step.`,
        );
  for (const jaw of ['upper', 'lower'] as const) {
    const extra = extraMm?.[jaw] ?? 0;
    if (!(Number.isFinite(extra) && extra >= 0))
      refusePair(
        `extraMm.${jaw}`,
        `extraMm.${jaw} is not valid; got ${extra}, need a length of 0 or more in mm. Correct the field and ask again.`,
      );
  }
}

function checkBands(bands: readonly RatioBand[]): void {
  for (const [i, band] of bands.entries()) {
    const lengths = ['lowPercent', 'highPercent', 'upperSumMm', 'lowerSumMm'] as const;
    const faulty = lengths.find((field) => !(Number.isFinite(band[field]) && band[field] > 0));
    if (faulty)
      refusePair(
        `bands[${i}].${faulty}`,
        `bands[${i}].${faulty} is not valid; got ${band[faulty]}, need a number above 0. Correct the field and ask again.`,
      );
    if (band.lowPercent > band.highPercent)
      refusePair(
        `bands[${i}].lowPercent`,
        `bands[${i}].lowPercent is above highPercent; got ${band.lowPercent} and ${band.highPercent} %, need the lower bound first. Exchange them.`,
      );
  }
}

function comparePreference(
  a: JointContact,
  b: JointContact,
  requests: readonly [ReductionRequest, ReductionRequest],
): number {
  const teeth = (c: JointContact) => requests[c.arch].contacts[c.index].teeth;
  // Contacts of the two jaws at the same place compare equal.
  return byPreference(teeth(a), teeth(b)) || a.arch - b.arch;
}
