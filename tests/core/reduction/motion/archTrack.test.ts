import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Vec2 } from '../../../../src/core/base/Vec3.ts';
import { archTrack } from '../../../../src/core/reduction/motion/archTrack.ts';
import { trackOf } from '../../../support/rowOfTeeth.ts';

const SEED = { seed: 41, numRuns: 200 };

/** Half a circle from the patient's right (+x) over the front to the left. */
const halfCircle = (radiusMm: number, steps = 400): readonly Vec2[] =>
  Array.from({ length: steps + 1 }, (_, i): Vec2 => {
    const angle = (Math.PI * i) / steps;
    return [radiusMm * Math.cos(angle), radiusMm * Math.sin(angle)];
  });

describe('arch track', () => {
  test('of half a circle: length, places and the way out', () => {
    const track = archTrack(halfCircle(20));
    expect(track.lengthMm).toBeCloseTo(Math.PI * 20, 2);
    const front = track.at(track.lengthMm / 2);
    expect(front.pointMm[1]).toBeCloseTo(20, 3);
    expect(front.outward[1]).toBeCloseTo(1, 6);
    const { alongMm, outMm } = track.place([0, 23]);
    expect(alongMm).toBeCloseTo(track.lengthMm / 2, 6);
    expect(outMm).toBeCloseTo(3, 3);
    expect(track.place([18 * Math.cos(0.5), 18 * Math.sin(0.5)]).outMm).toBeCloseTo(-2, 3);
  });

  test('runs straight on past its ends', () => {
    const track = trackOf('flat');
    expect(track.at(-5).pointMm[0]).toBeCloseTo(29, 9);
    expect(track.place([30, 2])).toEqual({ alongMm: expect.closeTo(-6, 9), outMm: expect.closeTo(2, 9) });
  });

  test('place and point undo each other', () => {
    const track = trackOf();
    fc.assert(
      fc.property(
        fc.double({ min: -10, max: 80, noNaN: true }),
        fc.double({ min: -3, max: 6, noNaN: true }),
        (alongMm, outMm) => {
          const [x, y] = track.pointOf({ alongMm, outMm });
          const back = track.pointOf(track.place([x, y]));
          expect(Math.hypot(back[0] - x, back[1] - y)).toBeLessThan(1e-9);
        },
      ),
      SEED,
    );
  });

  test('a chord is as long as asked, either way', () => {
    const track = archTrack(halfCircle(20));
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 62, noNaN: true }),
        fc.double({ min: -12, max: 12, noNaN: true }),
        (from, chord) => {
          const to = track.chordEnd(from, chord);
          const [a, b] = [track.at(from).pointMm, track.at(to).pointMm];
          expect(Math.hypot(b[0] - a[0], b[1] - a[1])).toBeCloseTo(Math.abs(chord), 8);
          expect((to - from) * chord).toBeGreaterThanOrEqual(0);
        },
      ),
      SEED,
    );
    // The arc over a chord of a circle is known.
    expect(track.chordEnd(20, 8) - 20).toBeCloseTo(2 * 20 * Math.asin(8 / 40), 2);
  });
});
