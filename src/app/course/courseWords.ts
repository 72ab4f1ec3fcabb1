import { isRight } from '../../core/base/tooth.ts';
import { COLLISION_MM } from '../../core/reduction/motion/CourseSettings.ts';
import type { ContactTiming, TimingDoubt } from '../../core/reduction/motion/contactTiming.ts';
import type { ToothMovement } from '../../core/reduction/motion/toothCourse.ts';
import { fixed } from '../format.ts';

/** Below these a movement is not told. */
const TOLD_MM = 0.005;
const TOLD_DEG = 0.05;

const RAD_TO_DEG = 180 / Math.PI;

const told = (amount: number, least: number, digits: number, [plus, minus]: readonly [string, string]) =>
  Math.abs(amount) < least ? '–' : `${fixed(Math.abs(amount), digits)} ${amount > 0 ? plus : minus}`;

/** Along the arch, toward the midline or away from it. */
export const alongWords = ({ tooth, alongMm }: ToothMovement): string =>
  told(isRight(tooth) ? alongMm : -alongMm, TOLD_MM, 2, ['mesial', 'distal']);

export const outwardWords = ({ outwardMm }: ToothMovement): string =>
  told(outwardMm, TOLD_MM, 2, ['out', 'in']);

export const raisedWords = ({ raisedMm }: ToothMovement): string =>
  told(raisedMm, TOLD_MM, 2, ['up', 'down']);

/** Which way the mesial end of a tooth turns: out of the arch or into it. */
export function turnWords({ tooth, turnRad }: ToothMovement, jaw: 'upper' | 'lower'): string {
  // x of the arch frame points to the patient's right in a lower arch, to the left in an upper.
  const leftEndOut = jaw === 'upper' ? turnRad : -turnRad;
  const mesialOut = isRight(tooth) ? leftEndOut : -leftEndOut;
  return told(mesialOut * RAD_TO_DEG, TOLD_DEG, 1, ['mesial out', 'mesial in']);
}

export const overlapMm = (gapMm: number): number => Math.max(0, -gapMm);

/** A doubt about a contact as a sentence without its name. */
export function doubtWords(doubt: TimingDoubt, timing: ContactTiming): string {
  switch (doubt) {
    case 'needed-before-reachable':
      return `needed by visit ${timing.neededByVisit}, reachable only from visit ${timing.reachableFromVisit}`;
    case 'never-reachable':
      return 'the contact points still stand too far off each other at the end';
    case 'collides-reduced':
      return `on the way the crowns would share ${fixed(-timing.worstReducedMm)} mm with the planned enamel off`;
    case 'overlap-left':
      return `at the end the crowns still share ${fixed(-timing.endGapMm)} mm (more than ${fixed(COLLISION_MM)})`;
    case 'gap-left':
      return `a gap of ${fixed(timing.endGapMm)} mm is left`;
  }
}
