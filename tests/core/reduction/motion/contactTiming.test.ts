import { describe, expect, test } from 'vitest';
import type { ContactStage } from '../../../../src/core/reduction/motion/contactCourse.ts';
import { contactTiming, isReachable } from '../../../../src/core/reduction/motion/contactTiming.ts';

const stage = (change: Partial<ContactStage>): ContactStage => ({
  wholeGapMm: 0,
  reducedGapMm: 0,
  alongMm: 0,
  acrossMm: 0,
  turnRad: 0,
  ...change,
});
const RULES = { stagesPerVisit: 4, reachStepMm: 1 };
const course = (stages: readonly Partial<ContactStage>[]) => ({
  teeth: [41, 31] as const,
  stages: stages.map(stage),
});

describe('time of a contact', () => {
  test('space is needed by the last visit before the stage at which the crowns would collide', () => {
    // Stages 0 to 9, a tenth more shared at each from stage 3 on: over 0.15 mm from stage 5.
    const stages = Array.from({ length: 10 }, (_, k) => ({ wholeGapMm: Math.min(0, 0.3 - 0.1 * k) }));
    const timing = contactTiming(course(stages), RULES);
    expect(timing.neededFromStage).toBe(5);
    expect(timing.neededByVisit).toBe(2); // before stage 5 is begun: at stage 4
    expect(timing.leastGapMm).toBeCloseTo(-0.6, 9);
    expect(timing.gapNowMm).toBe(0);
    const sooner = contactTiming(course(stages.slice(1)), RULES);
    expect([sooner.neededFromStage, sooner.neededByVisit]).toEqual([4, 1]);
  });

  test('crowns that never collide need no space', () => {
    const timing = contactTiming(course([{}, { wholeGapMm: -0.1 }]), RULES);
    expect([timing.neededFromStage, timing.neededByVisit]).toEqual([null, null]);
  });

  test('a contact is reachable from the first visit after which it stays so', () => {
    const across = [2, 0.5, 1.5, 1.2, 0.9, 0.1];
    const timing = contactTiming(course(across.map((acrossMm) => ({ acrossMm }))), RULES);
    expect([timing.reachableFromStage, timing.reachableFromVisit]).toEqual([4, 2]);
    const now = contactTiming(course([{}, {}]), RULES);
    expect([now.reachableFromStage, now.reachableFromVisit]).toEqual([0, 1]);
    const never = contactTiming(course([{}, { acrossMm: -1.2 }]), RULES);
    expect([never.reachableFromStage, never.reachableFromVisit]).toEqual([null, null]);
    expect(never.doubts).toContain('never-reachable');
  });

  test('crowns standing free of each other let a strip pass whatever their contact points do', () => {
    expect(isReachable(stage({ acrossMm: 3, wholeGapMm: 0.3 }), 1)).toBe(true);
    expect(isReachable(stage({ acrossMm: 3, wholeGapMm: 0.2 }), 1)).toBe(false);
  });

  test('what does not go together is named', () => {
    const early = contactTiming(
      course([{ acrossMm: 2 }, { acrossMm: 2, wholeGapMm: -0.2 }, { acrossMm: 0 }]),
      RULES,
    );
    expect([early.neededByVisit, early.reachableFromVisit]).toEqual([1, 2]);
    expect(early.doubts).toEqual(['needed-before-reachable']);
    const end = (reducedGapMm: number) => contactTiming(course([{}, { reducedGapMm }]), RULES).doubts;
    expect(end(0.1)).toEqual([]);
    expect(end(0.2)).toEqual(['gap-left']);
    expect(end(-0.2)).toEqual(['overlap-left']);
    expect(contactTiming(course([{}, { reducedGapMm: -0.3 }, {}]), RULES).doubts).toEqual([
      'collides-reduced',
    ]);
  });
});
