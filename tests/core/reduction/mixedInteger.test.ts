import loadHighs from 'highs';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  type Constraint,
  type MixedIntegerSolver,
  minimum,
} from '../../../src/core/reduction/mixedInteger.ts';
import { makeRandom } from '../../support/random.ts';

let solver: MixedIntegerSolver;
beforeAll(async () => {
  solver = await loadHighs();
});

const row = (
  factors: Readonly<Record<string, number>>,
  relation: Constraint['relation'],
  right: number,
): Constraint => ({ left: new Map(Object.entries(factors)), relation, right });

describe('smallest value under linear rules in whole numbers', () => {
  it('seeds 1–60: as by trying all whole numbers, none found where there are none', () => {
    let none = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const random = makeRandom(seed);
      const whole = (low: number, high: number) => low + Math.floor(random() * (high - low + 1));
      const most = [whole(0, 4), whole(1, 4), whole(1, 4)];
      const cost = most.map(() => whole(-3, 3) + 0.25 * whole(0, 3));
      const relations = ['<=', '>=', '='] as const;
      const rules = Array.from({ length: 3 }, (_, r) => ({
        factors: most.map(() => whole(-2, 3)),
        relation: r === 2 ? relations[whole(0, 2)] : relations[whole(0, 1)],
        right: whole(-2, 6),
      }));
      const holds = (x: readonly number[]) =>
        rules.every(({ factors, relation, right }) => {
          const left = factors.reduce((sum, f, i) => sum + f * x[i], 0);
          return relation === '<=' ? left <= right : relation === '>=' ? left >= right : left === right;
        });
      const value = (x: readonly number[]) => cost.reduce((sum, c, i) => sum + c * x[i], 0);
      let best = Number.POSITIVE_INFINITY;
      for (let x = 0; x <= most[0]; x++)
        for (let y = 0; y <= most[1]; y++)
          for (let z = 0; z <= most[2]; z++) if (holds([x, y, z])) best = Math.min(best, value([x, y, z]));
      const named = (factors: readonly number[]) => ({ x: factors[0], y: factors[1], z: factors[2] });
      const found = minimum(solver, {
        minimise: new Map(Object.entries(named(cost))),
        constraints: rules.map(({ factors, relation, right }) => row(named(factors), relation, right)),
        integers: new Map([
          ['x', most[0]],
          ['y', most[1]],
          ['z', most[2]],
        ]),
      });
      if (found === null) {
        expect(best, `seed ${seed}`).toBe(Number.POSITIVE_INFINITY);
        none++;
        continue;
      }
      const x = ['x', 'y', 'z'].map((name) => Math.round(found.get(name)!));
      expect(holds(x), `seed ${seed}`).toBe(true);
      expect(value(x), `seed ${seed}`).toBeCloseTo(best, 9);
    }
    expect(none).toBeGreaterThan(3);
    expect(none).toBeLessThan(50);
  });

  it('what is not whole is continuous from 0, and very small factors are numbers still', () => {
    const found = minimum(solver, {
      minimise: new Map([['z', 5e-7]]),
      constraints: [row({ z: 2, x: 1 }, '>=', 4.5), row({ z: 1 }, '>=', 0)],
      integers: new Map([['x', 3]]),
    })!;
    expect(found.get('z')! * 2 + found.get('x')!).toBeGreaterThanOrEqual(4.5 - 1e-6);
    expect(found.get('z')).toBeCloseTo(0.75, 6);
  });

  it('a minimum that does not exist is an error, no plan', () => {
    const endless = {
      minimise: new Map([['z', -1]]),
      constraints: [row({ z: 1 }, '>=', 1)],
      integers: new Map<string, number>(),
    };
    expect(() => minimum(solver, endless)).toThrow(/the solver ended with .*need Optimal/);
  });
});
