import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { unroller } from '../../../src/app/strip/unroll.ts';
import type { Vec2 } from '../../../src/core/base/Vec3.ts';

/** Half circle from the right (+x) over the front (+y) to the left. */
const halfCircle = (radiusMm: number, pieces: number): Vec2[] =>
  Array.from({ length: pieces + 1 }, (_, i) => {
    const angle = (Math.PI * i) / pieces;
    return [radiusMm * Math.cos(angle), radiusMm * Math.sin(angle)];
  });

describe('unroller', () => {
  it('tells a point off a straight line by its foot and its height', () => {
    const unroll = unroller(
      [
        [10, 0],
        [-10, 0],
      ],
      [0, 1],
    );
    expect(unroll([4, 3])).toEqual({ alongMm: 6, outMm: 3 });
    expect(unroll([4, -3])).toEqual({ alongMm: 6, outMm: -3 });
  });

  it('carries the line on straight beyond both ends', () => {
    const unroll = unroller(
      [
        [10, 0],
        [0, 0],
        [-10, 0],
      ],
      [0, 1],
    );
    expect(unroll([13, 2])).toEqual({ alongMm: -3, outMm: 2 });
    expect(unroll([-15, -1])).toEqual({ alongMm: 25, outMm: -1 });
  });

  it('agrees with arc length and radius on a circle', () => {
    const radius = 25;
    const unroll = unroller(halfCircle(radius, 2000), [0, 1]);
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 3.09, noNaN: true }),
        fc.double({ min: -6, max: 6, noNaN: true }),
        (angle, out) => {
          const r = radius + out;
          const told = unroll([r * Math.cos(angle), r * Math.sin(angle)]);
          // The chords of the polyline lie up to 8 µm inside the circle; its length is short by 0.01 µm a piece.
          expect(told.alongMm).toBeCloseTo(radius * angle, 1);
          expect(Math.abs(told.outMm - out)).toBeLessThan(0.001);
        },
      ),
      { seed: 7, numRuns: 300 },
    );
  });

  it('calls the front outward whichever way the line runs', () => {
    const line = halfCircle(20, 200);
    const there = unroller(line, [0, 1])([0, 23]);
    const back = unroller([...line].reverse(), [0, 1])([0, 23]);
    expect(there.outMm).toBeCloseTo(3, 2);
    expect(back.outMm).toBeCloseTo(3, 2);
  });
});
