import { isRight, positionOf } from '../../../src/core/base/tooth.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { ReductionRequest } from '../../../src/core/reduction/ReductionPlan.ts';
import { randomRequest } from '../../support/reductionRequests.ts';
import type { AccuracyGroup } from '../AccuracyRow.ts';

/** Least common multiple of all shares' denominators here: with it every comparison is in whole numbers. */
const COMMON = 27_720; // 1 … 12

const stepsIn = (mm: number, step: number): number => Math.max(0, Math.floor(mm / step + 1e-9));

/** How often the plan of small random requests differs from the best of all allocations. */
export const plan: AccuracyGroup = {
  name: 'plan',
  rows: async (progress) => {
    let looked = 0;
    let differing = 0;
    const seeds = Array.from({ length: 600 }, (_, i) => i + 1);
    for (const seed of seeds) {
      if (seed % 150 === 1) progress(`requests ${seed} to ${seed + 149}`);
      const request = randomRequest(seed, 2 + Math.floor((seed - 1) / 150));
      const planned = planReduction(request).contacts.map((c) => Math.round(c.totalMm / request.stepMm));
      const { best, count } = bestAllocation(request);
      looked += count;
      if (best.some((steps, i) => steps !== planned[i])) differing++;
    }
    return [
      {
        what: 'Plan of one arch against every possible allocation',
        surface: 'none',
        on: `random requests of 2 to 5 contacts; ${looked.toLocaleString('en')} allocations looked at`,
        n: seeds.length,
        typical: `${seeds.length - differing} equal`,
        worst: `${differing} differ`,
        bound: '0 differ',
        holds: differing === 0,
        test: 'tests/core/reduction/bruteForce.test.ts',
      },
    ];
  },
};

/** The rules in the plainest way: most, least worst share, least squares, then nearer the midline. */
function bestAllocation(request: ReductionRequest): { best: readonly number[]; count: number } {
  const { stepMm, visits } = request;
  const capacity = request.contacts.map((c) =>
    stepsIn(Math.min(c.limitMm, c.surfaceLimitsMm[0] + c.surfaceLimitsMm[1]), stepMm),
  );
  const bound = request.contacts.map((c, i) => {
    const left = Math.max(0, visits - c.reachableFromVisit + 1);
    return c.locked ? 0 : Math.min(capacity[i], left * stepsIn(request.perVisitLimitMm, stepMm));
  });
  const total = Math.min(
    stepsIn(request.neededMm, stepMm),
    bound.reduce((a, b) => a + b, 0),
  );
  const rank = request.contacts.map(({ teeth: [a, b] }) =>
    isRight(a) !== isRight(b) ? 0 : 2 * Math.min(positionOf(a), positionOf(b)) + (isRight(a) ? 0 : 1),
  );
  const order = rank.map((_, i) => i).sort((i, j) => rank[i] - rank[j]);
  const judge = (x: readonly number[]): readonly number[] => {
    const share = x.map((steps, i) => (steps === 0 ? 0 : (steps * COMMON) / capacity[i]));
    return [
      Math.max(...share),
      x.reduce((sum, steps, i) => sum + steps * share[i], 0),
      ...order.map((i) => -x[i]),
    ];
  };
  let best: readonly number[] = [];
  let mark: readonly number[] | null = null;
  let count = 0;
  for (const x of allocations(bound, total)) {
    count++;
    const own = judge(x);
    const at = mark ? own.findIndex((value, i) => value !== mark![i]) : 0;
    if (!mark || (at >= 0 && own[at] < mark[at])) [best, mark] = [x, own];
  }
  return { best, count };
}

function* allocations(bound: readonly number[], total: number): Generator<readonly number[]> {
  if (bound.length === 0) {
    if (total === 0) yield [];
    return;
  }
  for (let steps = 0; steps <= Math.min(bound[0], total); steps++)
    for (const rest of allocations(bound.slice(1), total - steps)) yield [steps, ...rest];
}
