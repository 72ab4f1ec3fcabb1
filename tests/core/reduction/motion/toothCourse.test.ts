import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isRight, positionOf } from '../../../../src/core/base/tooth.ts';
import type { Vec2 } from '../../../../src/core/base/Vec3.ts';
import { type ArchTrack, archTrack } from '../../../../src/core/reduction/motion/archTrack.ts';
import { COURSE_DEFAULTS } from '../../../../src/core/reduction/motion/CourseSettings.ts';
import { contactCourses } from '../../../../src/core/reduction/motion/contactCourse.ts';
import {
  posedContactPoints,
  type StandingTooth,
} from '../../../../src/core/reduction/motion/StandingTooth.ts';
import { toothCourse } from '../../../../src/core/reduction/motion/toothCourse.ts';
import { rowOn, standing, trackOf } from '../../../support/rowOfTeeth.ts';

const SEED = { seed: 42, numRuns: 40 };
const FROM_MIDLINE = { ...COURSE_DEFAULTS, reference: 'midline' } as const;

/** Cuts by contact, given to both surfaces alike. */
const cut = (teeth: readonly StandingTooth[], cutsMm: readonly number[]): readonly StandingTooth[] =>
  teeth.map((tooth, i) => ({
    ...tooth,
    cutRightMm: i > 0 ? cutsMm[i - 1] / 2 : 0,
    cutLeftMm: i < cutsMm.length ? cutsMm[i] / 2 : 0,
  }));

/** The teeth pushed and turned off the line. */
const disturbed = (teeth: readonly StandingTooth[], off: readonly (readonly [number, number, number])[]) =>
  teeth.map((tooth, i): StandingTooth => {
    const [dx, dy, turn] = positionOf(tooth.tooth) <= 5 ? off[i] : [0, 0, 0];
    const [x, y] = tooth.pose.centreMm;
    const pose = {
      ...tooth.pose,
      centreMm: [x + dx, y + dy] as const,
      directionRad: tooth.pose.directionRad + turn,
    };
    return { ...tooth, pose };
  });

const offsets = fc.array(
  fc.tuple(
    fc.double({ min: -1.5, max: 1.5, noNaN: true }),
    fc.double({ min: -1.5, max: 1.5, noNaN: true }),
    fc.double({ min: -0.3, max: 0.3, noNaN: true }),
  ),
  { minLength: 12, maxLength: 12 },
);
const cuts = fc.array(fc.double({ min: 0, max: 0.6, noNaN: true }), { minLength: 11, maxLength: 11 });
const sum = (list: readonly number[]): number => list.reduce((a, b) => a + b, 0);

describe('teeth on their way to the planned arch', () => {
  test('nothing taken and nothing crowded: nothing moves', () => {
    for (const kind of ['flat', 'parabola'] as const) {
      const track = trackOf(kind, 40, 30);
      for (const settings of [COURSE_DEFAULTS, FROM_MIDLINE]) {
        const course = toothCourse(track, rowOn(track), [], settings);
        expect(course.stageCount).toBe(0);
        expect(course.teeth.every(({ poses }) => poses.length === 1)).toBe(true);
      }
    }
  });

  test('a straight row closes by what is taken: the molars come nearer by exactly its sum', () => {
    const track = trackOf('flat', 60);
    fc.assert(
      fc.property(cuts, (cutsMm) => {
        const teeth = cut(rowOn(track), cutsMm);
        const midline = toothCourse(track, teeth, [], FROM_MIDLINE);
        const [first, last] = [midline.teeth[0].moved, midline.teeth[11].moved];
        expect(first.alongMm - last.alongMm).toBeCloseTo(sum(cutsMm), 6);
        // With the molars staying the same is left free beside them.
        const { right, left } = toothCourse(track, teeth, [], COURSE_DEFAULTS).row.freeMm;
        expect(right + left).toBeCloseTo(sum(cutsMm), 6);
        expect(right).toBeCloseTo(left, 6);
      }),
      SEED,
    );
  });

  test('on a curved line too, but for what straight teeth take up of it', () => {
    const track = trackOf('parabola', 40, 30);
    const teeth = cut(rowOn(track), Array(11).fill(0.3));
    const { moved } = toothCourse(track, teeth, [], FROM_MIDLINE).teeth[0];
    const other = toothCourse(track, teeth, [], FROM_MIDLINE).teeth[11].moved;
    expect(moved.alongMm - other.alongMm).toBeGreaterThan(3.3);
    expect(moved.alongMm - other.alongMm).toBeLessThan(3.4);
  });

  test('every reduced contact point ends on the line, in touch with its neighbour', () => {
    const track = trackOf();
    fc.assert(
      fc.property(offsets, cuts, (off, cutsMm) => {
        const teeth = disturbed(cut(rowOn(track), cutsMm), off);
        const { teeth: moved } = toothCourse(track, teeth, [], COURSE_DEFAULTS);
        for (let i = 1; i < 10; i++) {
          const [, a] = posedContactPoints(moved[i].standing, moved[i].poses.at(-1)!, true);
          const [b] = posedContactPoints(moved[i + 1].standing, moved[i + 1].poses.at(-1)!, true);
          expect(Math.hypot(a[0] - b[0], a[1] - b[1])).toBeLessThan(1e-5);
          expect(Math.abs(track.place(a).outMm)).toBeLessThan(1e-5);
        }
        // Molars stay where they are.
        for (const i of [0, 11]) expect(moved[i].poses.at(-1)).toEqual(moved[i].poses[0]);
      }),
      SEED,
    );
  });

  test('no stage moves or turns a crown further than allowed, and one stage fewer would', () => {
    const track = trackOf();
    fc.assert(
      fc.property(offsets, (off) => {
        const course = toothCourse(track, disturbed(rowOn(track), off), [], COURSE_DEFAULTS);
        let most = 0;
        for (const { poses } of course.teeth)
          for (let k = 1; k < poses.length; k++) {
            const [a, b] = [poses[k - 1], poses[k]];
            const mm = Math.hypot(b.centreMm[0] - a.centreMm[0], b.centreMm[1] - a.centreMm[1]);
            const rad = Math.abs(Math.sin(b.directionRad - a.directionRad));
            expect(mm).toBeLessThanOrEqual(COURSE_DEFAULTS.stepMm + 1e-6);
            expect(rad).toBeLessThanOrEqual(COURSE_DEFAULTS.stepRad + 1e-6);
            most = Math.max(most, mm / COURSE_DEFAULTS.stepMm, rad / COURSE_DEFAULTS.stepRad);
          }
        expect(most * course.stageCount).toBeGreaterThan(course.stageCount - 1.5);
      }),
      SEED,
    );
  });

  test('a mirrored arch moves as its mirror image', () => {
    const track = trackOf();
    const line = Array.from({ length: 161 }, (_, i) => track.at((track.lengthMm * i) / 160).pointMm);
    const mirrored = ([x, y]: Vec2): Vec2 => [-x, y];
    const other: ArchTrack = archTrack([...line].reverse().map(mirrored));
    const own = archTrack(line);
    const swapped = (tooth: number): number => (isRight(tooth) ? tooth - 10 : tooth + 10);
    fc.assert(
      fc.property(offsets, cuts, (off, cutsMm) => {
        const teeth = disturbed(cut(rowOn(own), cutsMm), off);
        const image = [...teeth].reverse().map((tooth) => {
          const [right, left] = posedContactPoints(tooth, tooth.pose, false);
          return standing(swapped(tooth.tooth), mirrored(left), mirrored(right), {
            cutRightMm: tooth.cutLeftMm,
            cutLeftMm: tooth.cutRightMm,
          });
        });
        const a = toothCourse(own, teeth, [], COURSE_DEFAULTS);
        const b = toothCourse(other, image, [], COURSE_DEFAULTS);
        expect(b.stageCount).toBe(a.stageCount);
        a.teeth.forEach(({ moved }, i) => {
          const twin = b.teeth[11 - i].moved;
          expect(twin.tooth).toBe(swapped(moved.tooth));
          expect(twin.alongMm).toBeCloseTo(-moved.alongMm, 6);
          expect(twin.outwardMm).toBeCloseTo(moved.outwardMm, 6);
          expect(twin.turnRad).toBeCloseTo(-moved.turnRad, 6);
        });
        const gaps = contactCourses(own, a, []).map((c) => c.stages.map((s) => s.wholeGapMm));
        const twins = contactCourses(other, b, []).map((c) => c.stages.map((s) => s.wholeGapMm));
        gaps.forEach((list, i) => {
          list.forEach((gap, k) => {
            expect(twins[10 - i][k]).toBeCloseTo(gap, 6);
          });
        });
      }),
      { ...SEED, numRuns: 20 },
    );
  });

  test('room kept for an absent tooth stays, and a shift of the middle is a shift', () => {
    const track = trackOf('flat', 60);
    const teeth = rowOn(track).filter(({ tooth }) => tooth !== 42);
    const gaps = [{ teeth: [43, 41] as const, roomMm: 5.5 }];
    expect(toothCourse(track, teeth, gaps, COURSE_DEFAULTS).stageCount).toBe(0);
    const closed = toothCourse(track, teeth, [{ ...gaps[0], roomMm: 0 }], COURSE_DEFAULTS);
    expect(closed.row.freeMm.right).toBeCloseTo(2.75, 6);
    const shifted = toothCourse(track, teeth, gaps, { ...COURSE_DEFAULTS, middleShiftMm: 0.5 });
    const incisor = shifted.teeth.find(({ standing: { tooth } }) => tooth === 31);
    expect(incisor?.moved.alongMm).toBeCloseTo(0.5, 6);
    expect(shifted.row.freeMm.left).toBeCloseTo(-0.5, 6);
  });

  test('levelled teeth end with their tops at one height', () => {
    const track = trackOf('flat', 60);
    const teeth = rowOn(track).map((tooth, i) => ({ ...tooth, topMm: i % 3 }));
    const { teeth: moved } = toothCourse(track, teeth, [], { ...COURSE_DEFAULTS, levelled: true });
    for (const { standing: tooth, poses } of moved)
      expect(tooth.topMm! + poses.at(-1)!.heightMm).toBeCloseTo(1, 9);
  });
});
