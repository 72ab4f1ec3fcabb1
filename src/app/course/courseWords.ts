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

/** Kinds of doubt, in the order they are told, each before the contacts it is about. */
export const DOUBT_WORDS: Readonly<Record<TimingDoubt, string>> = {
  'needed-before-reachable':
    'Space is needed before the contact can be reached. Fewer stages between visits, or room made elsewhere first, would change that',
  'never-reachable': 'Contact points still too far off each other at the end',
  'collides-reduced': 'Crowns share more on the way than at the end, with the planned enamel off',
  'overlap-left': `Crowns still share more than ${fixed(COLLISION_MM)} mm at the end`,
  'gap-left': `More than ${fixed(COLLISION_MM)} mm is left open at the end`,
};

/** The figures behind a doubt about one contact. */
export function doubtFigures(doubt: TimingDoubt, timing: ContactTiming): string {
  switch (doubt) {
    case 'needed-before-reachable':
      return `visit ${timing.neededByVisit}, not before ${timing.reachableFromVisit}`;
    case 'never-reachable':
      return '';
    case 'collides-reduced':
      return `${fixed(-timing.worstReducedMm)} mm`;
    case 'overlap-left':
    case 'gap-left':
      return `${fixed(Math.abs(timing.endGapMm))} mm`;
  }
}
