import { describe, expect, it } from 'vitest';
import { makeArchCurve } from '../../src/samples/archCurve.ts';

describe('makeArchCurve', () => {
  const curve = makeArchCurve(1.41, 22);

  it('runs by arc length: a fine polyline between two places is as long as their difference', () => {
    let length = 0;
    const n = 40_000;
    for (let i = 0; i < n; i++) {
      const [a, b] = [curve.point(-40 + (80 * i) / n), curve.point(-40 + (80 * (i + 1)) / n)];
      length += Math.hypot(b[0] - a[0], b[1] - a[1]);
    }
    expect(length).toBeCloseTo(80, 5);
  });

  it('has the direction of its own differences, and is symmetric about its front', () => {
    for (const s of [-37.3, -11.05, 0, 3.33, 29.9]) {
      const [a, b, d] = [curve.point(s - 1e-4), curve.point(s + 1e-4), curve.direction(s)];
      expect((b[0] - a[0]) / 2e-4).toBeCloseTo(d[0], 5);
      expect((b[1] - a[1]) / 2e-4).toBeCloseTo(d[1], 5);
      const [p, q] = [curve.point(s), curve.point(-s)];
      expect(p[0]).toBeCloseTo(-q[0], 9);
      expect(p[1]).toBeCloseTo(q[1], 9);
    }
  });
});
