import { beforeEach, describe, expect, test } from 'vitest';
import { goToStage, useCourseView } from '../../../src/app/course/courseStore.ts';
import { actions, undo, useStore } from '../../../src/app/store.ts';
import { COURSE_DEFAULTS } from '../../../src/core/reduction/motion/CourseSettings.ts';
import { demoCase } from '../../support/demoCase.ts';

const lower = () => useStore.getState().caseDocument.arches.lower!;

beforeEach(() => actions().openCase(demoCase()));

describe('course of the teeth in the store', () => {
  test('visits taken over at several contacts are one step of undo', () => {
    actions().setContacts('lower', [
      { teeth: [42, 41], change: { reachableFromVisit: 2 } },
      { teeth: [31, 32], change: { reachableFromVisit: 3 } },
    ]);
    expect(lower().plan.contacts.map((c) => [c.teeth.join('-'), c.reachableFromVisit])).toEqual([
      ['42-41', 2],
      ['31-32', 3],
    ]);
    undo();
    expect(lower().plan.contacts).toEqual([]);
  });

  test('settings begin at the defaults and are kept with the case', () => {
    expect(lower().course).toBeUndefined();
    actions().setCourse('lower', { stagesPerVisit: 3 });
    expect(lower().course).toEqual({ ...COURSE_DEFAULTS, stagesPerVisit: 3 });
    undo();
    expect(lower().course).toBeUndefined();
  });

  test('who looks at the last stage stays at the last, however many there come to be', () => {
    goToStage('lower', 6, 6);
    expect(Math.min(useCourseView.getState().stage.lower, 9)).toBe(9);
    goToStage('lower', 5, 6);
    expect(Math.min(useCourseView.getState().stage.lower, 9)).toBe(5);
    goToStage('lower', -1, 6);
    expect(useCourseView.getState().stage.lower).toBe(0);
  });
});
