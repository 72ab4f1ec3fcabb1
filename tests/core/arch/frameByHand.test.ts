import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type ArchFrame,
  archFrame,
  pointInArch,
  pointInScan,
  sideways,
} from '../../../src/core/arch/ArchFrame.ts';
import { frameFromThreePoints } from '../../../src/core/arch/frameFromThreePoints.ts';
import { turnFrame } from '../../../src/core/arch/turnFrame.ts';
import { cross, dot, length, type Vec3 } from '../../../src/core/base/Vec3.ts';

const near = (a: Vec3, b: Vec3, digits = 9) => {
  for (let k = 0; k < 3; k++) expect(a[k]).toBeCloseTo(b[k], digits);
};
const upright: ArchFrame = archFrame([0, 0, 0], [0, 0, 1], [0, 1, 0]);
const part = fc.double({ min: -1, max: 1, noNaN: true });
const anyFrame = fc
  .tuple(part, part, part, part, part, part)
  .filter(([a, b, c, d, e, f]) => length(cross([a, b, c], [d, e, f])) > 0.1)
  .map(([a, b, c, d, e, f]) => archFrame([a, b, c], [a, b, c], [d, e, f]));

describe('frame from three points', () => {
  it('lays the plane through them, forward across the molars toward the incisor', () => {
    const frame = frameFromThreePoints(upright, [-25, -20, 1], [25, -20, 1], [0, 25, 1]);
    near(frame.occlusal, [0, 0, 1]);
    near(frame.forward, [0, 1, 0]);
    near(frame.originMm, [0, 2.5, 1]);
  });
  it('keeps the up side and does not ask which molar comes first', () => {
    const below: ArchFrame = archFrame([0, 0, 0], [0, 0.2, -1], [0, 1, 0]);
    const a = frameFromThreePoints(below, [-25, -20, 1], [25, -18, 3], [0, 25, 0]);
    const b = frameFromThreePoints(below, [25, -18, 3], [-25, -20, 1], [0, 25, 0]);
    expect(dot(a.occlusal, below.occlusal)).toBeGreaterThan(0.8);
    near(a.occlusal, b.occlusal);
    near(a.forward, b.forward);
    for (const p of [
      [-25, -20, 1],
      [25, -18, 3],
      [0, 25, 0],
    ] as Vec3[])
      expect(pointInArch(a, p)[2]).toBeCloseTo(0, 9);
  });
  it('refuses points on one line and a plane on edge', () => {
    const code = expect.objectContaining({ code: 'marks-coincide' });
    expect(() => frameFromThreePoints(upright, [-25, 0, 0], [25, 0, 0], [0, 1, 0])).toThrow(code);
    expect(() => frameFromThreePoints(upright, [0, 0, 0], [0, 0, 0], [0, 30, 0])).toThrow(code);
    expect(() => frameFromThreePoints(upright, [0, -20, -10], [0, -20, 10], [0, 25, 0])).toThrow(code);
  });
});

describe('turning a frame by hand', () => {
  it('turns about each axis by the right-hand rule', () => {
    near(turnFrame(upright, 'occlusal', Math.PI / 2).forward, [-1, 0, 0]);
    near(turnFrame(upright, 'sideways', Math.PI / 2).forward, [0, 0, 1]);
    near(turnFrame(upright, 'forward', Math.PI / 2).occlusal, [1, 0, 0]);
  });
  it('stays right-handed, undoes itself, keeps the origin', () => {
    fc.assert(
      fc.property(
        anyFrame,
        fc.constantFrom('sideways', 'forward', 'occlusal'),
        fc.double({ min: -3, max: 3, noNaN: true }),
        (frame, axis, angle) => {
          const there = turnFrame(frame, axis as 'sideways', angle);
          near(cross(there.forward, there.occlusal), sideways(there));
          expect(dot(there.forward, there.occlusal)).toBeCloseTo(0, 9);
          const back = turnFrame(there, axis as 'sideways', -angle);
          near(back.occlusal, frame.occlusal);
          near(back.forward, frame.forward);
          expect(there.originMm).toEqual(frame.originMm);
        },
      ),
      { seed: 4, numRuns: 100 },
    );
  });
  it('points go to the frame and back', () => {
    fc.assert(
      fc.property(anyFrame, part, part, part, (frame, x, y, z) => {
        near(pointInScan(frame, pointInArch(frame, [x, y, z])), [x, y, z]);
      }),
      { seed: 4, numRuns: 50 },
    );
  });
});
