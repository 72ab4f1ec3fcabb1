import { describe, expect, it } from 'vitest';
import { isRight, positionOf } from '../../../src/core/base/tooth.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { ReductionPlan, ReductionRequest } from '../../../src/core/reduction/ReductionPlan.ts';
import { randomRequest } from '../../support/reductionRequests.ts';

// The rules once more, in the plainest way: every allocation is looked at, fractions are exact.
interface Fraction {
  readonly top: bigint;
  readonly bottom: bigint;
}
const compare = (a: Fraction, b: Fraction): number => {
  const d = a.top * b.bottom - b.top * a.bottom;
  return d < 0n ? -1 : d > 0n ? 1 : 0;
};
const plus = (a: Fraction, b: Fraction): Fraction => ({
  top: a.top * b.bottom + b.top * a.bottom,
  bottom: a.bottom * b.bottom,
});
const ZERO: Fraction = { top: 0n, bottom: 1n };

const floorSteps = (mm: number, step: number) => Math.max(0, Math.floor(mm / step + 1e-9));

interface Limits {
  readonly capacities: readonly number[];
  readonly reach: readonly number[];
  readonly perVisit: number;
}

function limitsOf(request: ReductionRequest): Limits {
  const perVisit = floorSteps(request.perVisitLimitMm, request.stepMm);
  const capacities = request.contacts.map((c) =>
    floorSteps(Math.min(c.limitMm, c.surfaceLimitsMm[0] + c.surfaceLimitsMm[1]), request.stepMm),
  );
  const reach = request.contacts.map((c, i) => {
    if (c.locked) return 0;
    let holds = 0;
    for (let visit = 1; visit <= request.visits; visit++)
      if (visit >= c.reachableFromVisit) holds += perVisit;
    return Math.min(capacities[i], holds);
  });
  return { capacities, reach, perVisit };
}

const QUANTILES: Readonly<Record<number, number>> = {
  0.05: 1.6448536269514722, // R: qnorm(0.95) and so on
  0.5: 0,
  0.2: 0.8416212335729143,
  0.01: 2.3263478740408408,
  0.9: -1.2815515655446004,
};

function askedSteps({ neededMm, neededSdMm, stepMm, overshootRisk }: ReductionRequest) {
  const goal = floorSteps(neededMm, stepMm);
  return {
    goal,
    commit: Math.min(goal, floorSteps(neededMm - QUANTILES[overshootRisk] * neededSdMm, stepMm)),
  };
}

function* allocations(bounds: readonly number[], from = 0): Generator<number[]> {
  if (from === bounds.length) {
    yield [];
    return;
  }
  for (let steps = 0; steps <= bounds[from]; steps++)
    for (const rest of allocations(bounds, from + 1)) yield [steps, ...rest];
}

const preference = (request: ReductionRequest): readonly number[] => {
  const rank = request.contacts.map(({ teeth: [a, b] }) => {
    if (isRight(a) !== isRight(b)) return 0;
    return 2 * Math.min(positionOf(a), positionOf(b)) + (isRight(a) ? 0 : 1);
  });
  return rank.map((_, i) => i).sort((i, j) => rank[i] - rank[j]);
};

/** Best allocation of `total` within `bounds` by full enumeration. */
function bestOf(request: ReductionRequest, bounds: readonly number[], total: number): readonly number[] {
  const { capacities } = limitsOf(request);
  const order = preference(request);
  const worst = (x: readonly number[]) =>
    x.reduce((w, steps, i) => {
      const share = steps === 0 ? ZERO : { top: BigInt(steps), bottom: BigInt(capacities[i]) };
      return compare(share, w) > 0 ? share : w;
    }, ZERO);
  const squares = (x: readonly number[]) =>
    x.reduce(
      (sum, steps, i) =>
        steps === 0 ? sum : plus(sum, { top: BigInt(steps * steps), bottom: BigInt(capacities[i]) }),
      ZERO,
    );
  let best: { x: readonly number[]; worst: Fraction; squares: Fraction } | null = null;
  for (const x of allocations(bounds)) {
    if (x.reduce((a, b) => a + b, 0) !== total) continue;
    const candidate = { x, worst: worst(x), squares: squares(x) };
    if (!best) {
      best = candidate;
      continue;
    }
    let d = compare(candidate.worst, best.worst) || compare(candidate.squares, best.squares);
    for (const i of order) if (d === 0) d = best.x[i] - x[i];
    if (d < 0) best = candidate;
  }
  return best!.x;
}

/** Every way to spread steps over visits; the one with most done earliest (or latest) wins. */
function bestVisits(steps: number, room: readonly number[], latest: boolean): readonly number[] {
  let best: readonly number[] | null = null;
  for (const spread of allocations(room)) {
    if (spread.reduce((a, b) => a + b, 0) !== steps) continue;
    const key = (x: readonly number[]) => (latest ? [...x].reverse() : x);
    if (!best) best = spread;
    else {
      const [a, b] = [key(spread), key(best)];
      const at = a.findIndex((value, i) => value !== b[i]);
      if (at >= 0 && a[at] > b[at]) best = spread;
    }
  }
  return best!;
}

const inSteps = (plan: ReductionPlan, request: ReductionRequest) =>
  plan.contacts.map((c) => Math.round(c.totalMm / request.stepMm));

// Every allocation of 2–5 contacts is enumerated; 600 requests, seeds in each test's name.
describe.each([2, 3, 4, 5].map((count) => [count]))('plan against enumeration, %d contacts', (count) => {
  for (let block = 0; block < 3; block++) {
    const seeds = Array.from({ length: 50 }, (_, i) => (count - 2) * 150 + block * 50 + i + 1);
    it(`seeds ${seeds[0]}–${seeds[49]}`, () => {
      for (const seed of seeds) {
        const request = randomRequest(seed, count);
        const plan = planReduction(request);
        const { reach, perVisit } = limitsOf(request);
        const at = `seed ${seed}`;
        const total = reach.reduce((a, b) => a + b, 0);
        const { goal, commit } = askedSteps(request);
        const planned = Math.min(goal, total);
        const best = bestOf(request, reach, planned);
        expect(inSteps(plan, request), at).toEqual(best);
        expect(plan.status, at).toBe(goal === 0 ? 'none' : planned === goal ? 'meets' : 'short');
        const sums = [plan.goalMm, plan.commitMm, plan.plannedMm, plan.heldBackMm, plan.shortMm];
        const expected = [goal, commit, planned, Math.max(0, planned - commit), goal - planned];
        expect(
          sums.map((mm) => Math.round((mm / request.stepMm) * 1e6) / 1e6),
          at,
        ).toEqual(expected);
        const kept = bestOf(request, best, Math.min(commit, planned));
        for (const [i, contact] of request.contacts.entries()) {
          const held = Math.round(plan.contacts[i].heldBackMm / request.stepMm);
          expect(best[i] - held, `${at} contact ${i}`).toBe(kept[i]);
          const room = Array.from({ length: request.visits }, (_, v) =>
            v + 1 >= contact.reachableFromVisit && !contact.locked ? perVisit : 0,
          );
          const early = bestVisits(kept[i], room, false);
          const late = bestVisits(
            held,
            room.map((steps, v) => steps - early[v]),
            true,
          );
          expect(
            plan.contacts[i].byVisitMm.map((mm) => Math.round(mm / request.stepMm)),
            `${at} contact ${i}`,
          ).toEqual(early.map((steps, v) => steps + late[v]));
        }
      }
    });
  }
});
