import { describe, expect, test } from 'vitest';
import { alongWords, outwardWords, turnWords } from '../../../src/app/course/courseWords.ts';
import { stripAtStage } from '../../../src/app/course/stripAtStage.ts';
import { stripLayout } from '../../../src/app/strip/stripLayout.ts';
import { recordMeasures } from '../../../src/core/casefile/archAccount.ts';
import { COURSE_DEFAULTS } from '../../../src/core/reduction/motion/CourseSettings.ts';
import { plannedCourse } from '../../../src/core/reduction/motion/plannedCourse.ts';
import { demoCase, lowerOf } from '../../support/demoCase.ts';

const moved = (change: object) => ({
  tooth: 41,
  alongMm: 0,
  outwardMm: 0,
  turnRad: 0,
  raisedMm: 0,
  ...change,
});

describe('movements in words', () => {
  test('along the arch toward the midline is mesial on both sides', () => {
    expect(alongWords(moved({ alongMm: 0.5 }))).toBe('0.50 mesial');
    expect(alongWords(moved({ tooth: 31, alongMm: 0.5 }))).toBe('0.50 distal');
    expect(alongWords(moved({ alongMm: 0.001 }))).toBe('–');
    expect(outwardWords(moved({ outwardMm: -1.2 }))).toBe('1.20 in');
  });

  test('counter-clockwise from above, the mesial end of a lower right tooth turns in, of an upper right one out', () => {
    const turnRad = (10 * Math.PI) / 180;
    expect(turnWords(moved({ turnRad }), 'lower')).toBe('10.0 mesial in');
    expect(turnWords(moved({ tooth: 31, turnRad }), 'lower')).toBe('10.0 mesial out');
    expect(turnWords(moved({ tooth: 11, turnRad }), 'upper')).toBe('10.0 mesial out');
    expect(turnWords(moved({ tooth: 21, turnRad }), 'upper')).toBe('10.0 mesial in');
  });
});

describe('the strip on the way', () => {
  const record = lowerOf(demoCase());
  const measures = recordMeasures(record);
  const { marks } = record.readings[record.activeReading];
  const planned = plannedCourse({ measures, marks, plan: null, settings: COURSE_DEFAULTS })!;
  const standing = stripLayout(record, measures, null);

  test('is the strip as measured at stage 0', () => {
    expect(stripAtStage(standing, planned, planned.contacts, 0)).toBe(standing);
  });

  test('ends with every tooth of the row on the line, in touch', () => {
    const { stageCount } = planned.course;
    const end = stripAtStage(standing, planned, planned.contacts, stageCount);
    const row = end.blocks.filter(({ tooth }) => tooth % 10 <= 5);
    expect(row.length).toBe(10);
    for (const { stands } of row)
      for (const point of [stands!.right, stands!.left]) expect(Math.abs(point.outMm)).toBeLessThan(1e-6);
    const between = end.contacts.filter(({ teeth }) => teeth.every((tooth) => tooth % 10 <= 5));
    for (const contact of between) {
      expect(contact.separationMm).toBeCloseTo(0, 6);
      expect(contact.displacementMm).toBeCloseTo(0, 6);
    }
    // The drawing keeps its extent, so that playing does not shift it.
    expect([end.fromMm, end.toMm, end.outMm]).toEqual([standing.fromMm, standing.toMm, standing.outMm]);
  });
});
