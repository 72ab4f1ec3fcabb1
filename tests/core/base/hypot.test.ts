import { describe, expect, it } from 'vitest';
import { hypot2, hypot3 } from '../../../src/core/base/hypot.ts';
import { makeRandom } from '../../support/random.ts';

describe('hypot', () => {
  it('gives what Math.hypot gives, to the bit', () => {
    const random = makeRandom(5);
    const size = () => (random() - 0.5) * 10 ** Math.floor(random() * 12 - 6);
    let others = 0;
    for (let i = 0; i < 300_000; i++) {
      const [x, y, z] = [size(), size(), size()];
      if (!Object.is(hypot2(x, y), Math.hypot(x, y))) others++;
      if (!Object.is(hypot3(x, y, z), Math.hypot(x, y, z))) others++;
    }
    expect(others).toBe(0);
  });

  it.each([
    [0, 0, 0],
    [-0, 0, -0],
    [0, -3, 0],
    [1, 1, 1],
    [Number.MIN_VALUE, 0, Number.MIN_VALUE],
    [Number.MAX_VALUE, 1, Number.MAX_VALUE],
    [Infinity, 1, Number.NaN],
    [Number.NaN, 1, 2],
    [1, Number.NaN, 0],
  ])('also for %d, %d, %d', (x, y, z) => {
    expect(hypot2(x, y)).toBe(Math.hypot(x, y));
    expect(hypot3(x, y, z)).toBe(Math.hypot(x, y, z));
  });
});
