import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { markingOrder } from '../../../src/core/marks/markingOrder.ts';
import { shuffledOrder } from '../../../src/core/marks/shuffledOrder.ts';

const order = markingOrder('lower', { missing: [], unerupted: [], thirdMolars: [] });
const teethOf = (steps: typeof order) =>
  steps.map(({ tooth }) => tooth).filter((tooth, i, all) => tooth !== all[i - 1]);

describe('order of a blinded reading', () => {
  it('holds the same steps, those of a tooth together, the same for the same seed', () => {
    fc.assert(
      fc.property(fc.nat(4_294_967_295), (seed) => {
        const shuffled = shuffledOrder(order, seed);
        expect([...shuffled].sort((a, b) => order.indexOf(a) - order.indexOf(b))).toEqual(order);
        expect(teethOf(shuffled)).toHaveLength(order.length / 2);
        expect(shuffledOrder(order, seed)).toEqual(shuffled);
      }),
      { seed: 13, numRuns: 100 },
    );
  });

  it('every tooth comes first about as often as any other', () => {
    const firsts = new Map<number, number>();
    for (let seed = 0; seed < 2800; seed++) {
      const [{ tooth }] = shuffledOrder(order, seed);
      firsts.set(tooth, (firsts.get(tooth) ?? 0) + 1);
    }
    // 200 expected of each of 14, binomial SD 13.6: five of them either way.
    expect(firsts.size).toBe(14);
    for (const times of firsts.values()) expect(Math.abs(times - 200)).toBeLessThan(68);
  });
});
