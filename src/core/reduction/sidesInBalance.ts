import { type Contact, isRight } from '../base/tooth.ts';
import { boundsUnder, cheapestSteps, compareShares, leastWorstShare, type Share } from './allocateSteps.ts';
import { byPreference, midlineDistance } from './contactOrder.ts';
import type { ReductionPlan, ReductionRequest } from './ReductionPlan.ts';
import { shareSurfaces } from './shareSurfaces.ts';
import { stepsToMm, tidyMm } from './stepAmounts.ts';

/**
 * Where the plan's cuts shall move the middle of the arch: toward the patient's right (positive), 0 for left and right
 * in balance. Between fixed ends of the line the middle moves by half of what the right side gives more than the left.
 */
export interface MidlineWish {
  readonly shiftToRightMm: number;
  readonly toleranceMm: number; // shifts that near to the wish are as good as the wish
}

/** Enamel by side, and how far it moves the middle of the arch. Units: mm. */
export interface SideBalance {
  readonly rightMm: number;
  readonly leftMm: number;
  readonly shiftToRightMm: number;
}

/** What a plan takes from the teeth of each side, the two surfaces of the midline contact each counted on its own. */
export function sideBalance(plan: Pick<ReductionPlan, 'contacts'>): SideBalance {
  let rightMm = 0;
  let leftMm = 0;
  for (const { teeth, surfacesMm } of plan.contacts)
    for (const i of [0, 1])
      if (isRight(teeth[i])) rightMm += surfacesMm[i];
      else leftMm += surfacesMm[i];
  return {
    rightMm: tidyMm(rightMm),
    leftMm: tidyMm(leftMm),
    shiftToRightMm: tidyMm((rightMm - leftMm) / 2),
  };
}

/** How far a shift misses a wish beyond its tolerance, to a millionth of a mm: finer differences are rounding. */
export const missesMm = (shiftToRightMm: number, wish: MidlineWish): number =>
  Math.max(0, Math.round((Math.abs(shiftToRightMm - wish.shiftToRightMm) - wish.toleranceMm) * 1e6) / 1e6);

interface Room {
  readonly capacity: number;
  readonly bound: number;
}

interface Candidate {
  readonly steps: readonly number[]; // in order of preference
  readonly worst: Share | null;
  readonly squares: bigint; // sum of steps² ÷ capacity, times the product of all capacities
}

/**
 * Shares whole steps so that the midline moves as nearly as wished, then by the rules of `allocateSteps`.
 *
 * Shape:    whole steps in the order asked; `total` ≤ sum of the bounds.
 * Accuracy: equal to full enumeration on 300 random requests — tests/core/reduction/sidesInBalance.test.ts.
 * Method:   every split of the total over right side, midline contact and left side is looked at; those that miss
 *           the wish least are shared out under a common worst share and compared in whole numbers.
 */
export function sharedBySides(
  total: number,
  asked: ReductionRequest,
  rooms: readonly Room[],
  wish: MidlineWish,
): readonly number[] {
  const order = rooms
    .map((_, i) => i)
    .sort((i, j) => byPreference(asked.contacts[i].teeth, asked.contacts[j].teeth));
  const capacities = order.map((i) => rooms[i].capacity);
  const bounds = order.map((i) => rooms[i].bound);
  const side = order.map((i) => sideOf(asked.contacts[i].teeth));
  const only = (which: Side) => bounds.map((bound, k) => (side[k] === which ? bound : 0));
  const parts = [only('right'), only('midline'), only('left')];
  const [rightMost, middleMost, leftMost] = parts.map(sum);
  const middleAt = order[side.indexOf('midline')];

  let least = Number.POSITIVE_INFINITY;
  let splits: (readonly number[])[] = [];
  for (let middle = 0; middle <= Math.min(middleMost, total); middle++) {
    const middleShift = middle === 0 ? 0 : shiftOfMiddle(middle, asked, middleAt);
    for (let right = 0; right <= Math.min(rightMost, total - middle); right++) {
      const left = total - middle - right;
      if (left > leftMost) continue;
      const shift = middleShift + stepsToMm(right - left, asked.stepMm) / 2;
      const missed = missesMm(shift, wish);
      if (missed < least) {
        least = missed;
        splits = [];
      }
      if (missed === least) splits.push([right, middle, left]);
    }
  }
  const scale = capacities.reduce((product, capacity) => product * BigInt(Math.max(1, capacity)), 1n);
  const candidates = splits.map((split): Candidate => {
    const worst = split
      .map((steps, p) => leastWorstShare(steps, { capacities, bounds: parts[p] }))
      .reduce((a, b) => (a === null || (b !== null && compareShares(b, a) > 0) ? b : a), null);
    const steps = capacities.map(() => 0);
    for (const [p, own] of split.entries()) {
      const within = worst ? boundsUnder(worst, { capacities, bounds: parts[p] }) : parts[p];
      for (const [k, given] of cheapestSteps(own, { capacities, bounds: within }).entries())
        steps[k] += given;
    }
    const squares = steps.reduce(
      (s, given, k) => (given === 0 ? s : s + (BigInt(given * given) * scale) / BigInt(capacities[k])),
      0n,
    );
    return { steps, worst, squares };
  });
  const best = candidates.reduce((a, b) => (compareCandidates(b, a) < 0 ? b : a));
  const steps = rooms.map(() => 0);
  for (const [k, i] of order.entries()) steps[i] = best.steps[k];
  return steps;
}

function compareCandidates(a: Candidate, b: Candidate): number {
  const worst = a.worst && b.worst ? compareShares(a.worst, b.worst) : 0;
  if (worst !== 0) return worst;
  if (a.squares !== b.squares) return a.squares < b.squares ? -1 : 1;
  const at = a.steps.findIndex((steps, k) => steps !== b.steps[k]);
  return at < 0 ? 0 : b.steps[at] - a.steps[at];
}

type Side = 'right' | 'midline' | 'left';

const sideOf = (teeth: Contact): Side =>
  midlineDistance(teeth) === 0 ? 'midline' : isRight(teeth[0]) ? 'right' : 'left';

/** What the midline contact adds to the shift: its surfaces may share unequally. */
function shiftOfMiddle(steps: number, { contacts, stepMm }: ReductionRequest, at: number): number {
  const { teeth, surfaceLimitsMm } = contacts[at];
  const surfaces = shareSurfaces(stepsToMm(steps, stepMm), surfaceLimitsMm);
  return ((surfaces[0] - surfaces[1]) * (isRight(teeth[0]) ? 1 : -1)) / 2;
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
