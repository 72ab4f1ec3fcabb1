import { describe, expect, it } from 'vitest';
import type { LocalPatch } from '../../../src/core/crowns/localPatch.ts';
import { carried, fitWall } from '../../../src/core/crowns/proximalFit.ts';

/** A wall out = f(aside, up) seen whole, 0.2 mm apart, with exact normals. */
function wallPatch(c: readonly number[]): LocalPatch {
  const values: number[] = [];
  for (let y = -2; y <= 2.001; y += 0.2)
    for (let h = -2; h <= 2.001; h += 0.2) {
      const [out, sy, sh] = carried(c, y, h);
      const size = Math.hypot(1, sy, sh);
      values.push(out, y, h, 1 / size, -sy / size, -sh / size, 0.04 * size);
    }
  return { count: values.length / 7, values: Float64Array.from(values) };
}

const settled = (patch: LocalPatch, order: 2 | 3) => {
  let c: readonly number[] = [0, 0, 0, -0.15, 0, -0.15];
  for (const scaleMm of [0.6, 0.4, 0.28, 0.2, 0.15, 0.12, 0.12])
    c = fitWall(patch, c, 0, 0, scaleMm, 0.85, order)!.c;
  return c;
};

describe('a wall that falls away faster toward the edge', () => {
  // outermost at the origin, level there
  const uneven = [0, 0, 0, -0.3, 0.02, -0.15, -0.09, -0.15];

  it('is cut short by a fit of second order and not by one of third', () => {
    const patch = wallPatch(uneven);
    const [second, third] = [settled(patch, 2), settled(patch, 3)];
    expect(Math.hypot(second[1], second[2])).toBeGreaterThan(0.04); // looks sloped where it is level
    expect(Math.abs(third[0])).toBeLessThan(0.005);
    expect(Math.hypot(third[1], third[2])).toBeLessThan(0.02);
    expect(third[6]).toBeLessThan(-0.06);
    expect(third[7]).toBeLessThan(-0.1);
  });

  it('of second order both fits are exact', () => {
    const even = [0.02, 0.05, -0.04, -0.2, 0.03, -0.12];
    const patch = wallPatch(even);
    for (const order of [2, 3] as const) {
      const c = settled(patch, order);
      even.forEach(
        (value, k) => void expect(Math.abs(c[k] - value), `c${k}, order ${order}`).toBeLessThan(0.01),
      );
    }
  });
});

it('an expansion carried there and back is the same', () => {
  const c = [0.1, 0.2, -0.1, -0.3, 0.05, -0.15, -0.08, -0.12];
  carried(carried(c, 0.3, -0.7), -0.3, 0.7).forEach((value, k) => void expect(value).toBeCloseTo(c[k], 12));
  const [y, h] = [0.3, -0.7];
  const by = (e: number) => carried(c, y + e, h)[0];
  const bh = (e: number) => carried(c, y, h + e)[0];
  const there = carried(c, y, h);
  expect((by(1e-5) - by(-1e-5)) / 2e-5).toBeCloseTo(there[1], 8);
  expect((bh(1e-5) - bh(-1e-5)) / 2e-5).toBeCloseTo(there[2], 8);
});
