import type { Contact } from '../../base/tooth.ts';
import { COLLISION_MM, type CourseSettings, PASSES_FREE_MM } from './CourseSettings.ts';
import type { ContactCourse, ContactStage } from './contactCourse.ts';

/** When a contact is needed and when it can be reached. Stages count from 0, visits from 1. */
export interface ContactTiming {
  readonly teeth: Contact;
  readonly gapNowMm: number; // crowns as they are; negative: they overlap
  readonly leastGapMm: number; // the least over all stages with nothing taken: minus what must be made room for
  /** First stage at which the crowns, nothing taken, would share more than COLLISION_MM; null where they never do. */
  readonly neededFromStage: number | null;
  readonly neededByVisit: number | null; // the last visit before that stage
  /** First stage from which on the contact stays reachable; null where it is not at the end. */
  readonly reachableFromStage: number | null;
  readonly reachableFromVisit: number | null;
  readonly endGapMm: number; // planned enamel off, last stage
  readonly worstReducedMm: number; // least gap over all stages, planned enamel off
  readonly doubts: readonly TimingDoubt[];
}

export type TimingDoubt =
  | 'needed-before-reachable' // the space is needed before a strip can get there
  | 'never-reachable'
  | 'collides-reduced' // crowns share more than COLLISION_MM on the way although the planned enamel is off
  | 'gap-left' // more than COLLISION_MM free at the end
  | 'overlap-left'; // more than COLLISION_MM shared at the end

/**
 * Whether a strip or bur can get into a contact: the facing contact points stand no further off each other across the
 * row than the limit, or the crowns stand free of each other. Our definition, no source.
 */
export const isReachable = (stage: ContactStage, reachStepMm: number): boolean =>
  Math.abs(stage.acrossMm) <= reachStepMm || stage.wholeGapMm >= PASSES_FREE_MM;

/** Visit v comes before stage (v − 1) · stagesPerVisit + 1 is begun. */
const lastVisitBefore = (stage: number, perVisit: number): number =>
  Math.floor(Math.max(0, stage - 1) / perVisit) + 1;
const firstVisitFrom = (stage: number, perVisit: number): number => Math.ceil(stage / perVisit) + 1;

/** When the last visit before the end is: a course of so many stages has so many. */
export const visitsOfCourse = (stageCount: number, perVisit: number): number =>
  firstVisitFrom(stageCount, perVisit);

function doubtsOf(timing: Omit<ContactTiming, 'doubts'>): readonly TimingDoubt[] {
  const { neededByVisit, reachableFromVisit, endGapMm, worstReducedMm } = timing;
  const doubts: TimingDoubt[] = [];
  if (reachableFromVisit === null) doubts.push('never-reachable');
  else if (neededByVisit !== null && neededByVisit < reachableFromVisit)
    doubts.push('needed-before-reachable');
  if (endGapMm < -COLLISION_MM) doubts.push('overlap-left');
  else if (worstReducedMm < -COLLISION_MM) doubts.push('collides-reduced');
  if (endGapMm > COLLISION_MM) doubts.push('gap-left');
  return doubts;
}

/**
 * What the course of one contact says of its time: how much room it needs and by when, from when it can be reached,
 * and what is left at the end.
 *
 * Accuracy: courses told stage by stage — tests/core/reduction/motion/contactTiming.test.ts.
 * Source:   our definitions, DEVELOPERS.md#teeth-to-the-planned-arch.
 */
export function contactTiming(
  { teeth, stages }: ContactCourse,
  { stagesPerVisit, reachStepMm }: Pick<CourseSettings, 'stagesPerVisit' | 'reachStepMm'>,
): ContactTiming {
  const collides = stages.findIndex((stage) => stage.wholeGapMm < -COLLISION_MM);
  const neededFromStage = collides < 0 ? null : collides;
  const barred = stages.map((stage) => isReachable(stage, reachStepMm)).lastIndexOf(false);
  const reachableFromStage = barred === stages.length - 1 ? null : barred + 1;
  const timing = {
    teeth,
    gapNowMm: stages[0].wholeGapMm,
    leastGapMm: Math.min(...stages.map((stage) => stage.wholeGapMm)),
    neededFromStage,
    neededByVisit: neededFromStage === null ? null : lastVisitBefore(neededFromStage, stagesPerVisit),
    reachableFromStage,
    reachableFromVisit:
      reachableFromStage === null ? null : firstVisitFrom(reachableFromStage, stagesPerVisit),
    endGapMm: stages[stages.length - 1].reducedGapMm,
    worstReducedMm: Math.min(...stages.map((stage) => stage.reducedGapMm)),
  };
  return { ...timing, doubts: doubtsOf(timing) };
}
