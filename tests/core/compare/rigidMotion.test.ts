import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import {
  motionAbout,
  motionAfter,
  motionBack,
  motionOfPoints,
  movedBy,
  turnedBy,
  turnVector,
} from '../../../src/core/compare/RigidMotion.ts';

const SEED = 11;
const mm = fc.double({ min: -60, max: 60, noNaN: true });
const point = fc.tuple(mm, mm, mm) as fc.Arbitrary<Vec3>;
const small = fc.double({ min: -1.7, max: 1.7, noNaN: true });
const turn = fc.tuple(small, small, small) as fc.Arbitrary<Vec3>;
const motion = fc
  .tuple(point, turn, point)
  .map(([centre, vector, shift]) => motionAbout(centre, vector, shift));
const near = (a: readonly number[], b: readonly number[], within = 1e-9): void =>
  a.forEach((x, k) => {
    expect(Math.abs(x - b[k])).toBeLessThan(within);
  });

describe('rigid motions', () => {
  it('turn a quarter about z as drawn by hand', () => {
    const quarter = motionAbout([1, 0, 0], [0, 0, Math.PI / 2], [0, 0, 2]);
    near(movedBy(quarter, [2, 0, 0]), [1, 1, 2]);
    near(turnedBy(quarter, [1, 0, 0]), [0, 1, 0]);
    near(turnVector(quarter), [0, 0, Math.PI / 2]);
  });

  it(`undo and follow each other (seed ${SEED})`, () => {
    fc.assert(
      fc.property(motion, motion, point, (a, b, p) => {
        near(movedBy(motionBack(a), movedBy(a, p)), p, 1e-7);
        near(movedBy(motionAfter(b, a), p), movedBy(b, movedBy(a, p)), 1e-7);
        near(motionAfter(motionBack(a), a).turn, [1, 0, 0, 0, 1, 0, 0, 0, 1], 1e-9);
      }),
      { seed: SEED },
    );
  });

  it(`keep distances and give back their turn (seed ${SEED})`, () => {
    fc.assert(
      fc.property(point, turn, point, point, (centre, vector, p, q) => {
        const own = motionAbout(centre, vector, [1, 2, 3]);
        const [a, b] = [movedBy(own, p), movedBy(own, q)];
        const apart = (u: Vec3, v: Vec3) => Math.hypot(u[0] - v[0], u[1] - v[1], u[2] - v[2]);
        expect(Math.abs(apart(a, b) - apart(p, q))).toBeLessThan(1e-9);
        if (Math.hypot(...vector) < 3) near(turnVector(own), vector, 1e-6);
      }),
      { seed: SEED },
    );
  });

  it(`are found again from the points they moved (seed ${SEED})`, () => {
    const arms: readonly Vec3[] = [
      [0, 0, 0],
      [9, 0, 0],
      [0, 7, 0],
      [0, 0, 5],
    ];
    fc.assert(
      fc.property(motion, (own) => {
        const pairs = arms.map((fromMm) => ({ fromMm, toMm: movedBy(own, fromMm), weight: 1 }));
        const found = motionOfPoints(pairs);
        for (const { fromMm, toMm } of pairs) near(movedBy(found, fromMm), toMm, 1e-6);
      }),
      { seed: SEED },
    );
  });

  it('do not let a point without weight pull', () => {
    const arms: readonly Vec3[] = [
      [0, 0, 0],
      [9, 0, 0],
      [0, 7, 0],
      [0, 0, 5],
    ];
    const pairs = arms.map((fromMm, i) => ({
      fromMm,
      toMm: [fromMm[0] + (i === 3 ? 4 : 1), fromMm[1], fromMm[2]] as Vec3,
      weight: i === 3 ? 1e-12 : 1,
    }));
    near(movedBy(motionOfPoints(pairs), [0, 0, 0]), [1, 0, 0], 1e-6);
  });
});
