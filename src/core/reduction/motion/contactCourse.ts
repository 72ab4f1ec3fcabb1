import type { Contact } from '../../base/tooth.ts';
import type { Vec2 } from '../../base/Vec3.ts';
import type { ArchTrack } from './archTrack.ts';
import {
  isBehindRow,
  type PlanePose,
  posedContactPoints,
  type RowGap,
  type StandingTooth,
} from './StandingTooth.ts';
import type { CourseTooth, ToothCourse } from './toothCourse.ts';

/** Two neighbours at one stage. Distances mm; negative gaps are overlaps. */
export interface ContactStage {
  /** Between the crowns as they are, no enamel taken; negative: what they share, and what must be made room for. */
  readonly wholeGapMm: number;
  /** Between the crowns with the planned enamel off. */
  readonly reducedGapMm: number;
  /** Between the facing contact points along the arch line, and across it; planned enamel off. */
  readonly alongMm: number;
  readonly acrossMm: number;
  readonly turnRad: number; // of the left one against the right one
}

/** The two crowns of a contact over all stages. */
export interface ContactCourse {
  readonly teeth: Contact;
  readonly stages: readonly ContactStage[];
}

/** How the gaps of the crowns were found: by round blocks of the measured widths, or between their surfaces. */
export type GapLevel = 'widths' | 'surfaces';

/**
 * A crown as a block: round at its ends, the radius this share of its width. Our choice: of shares 0.15 to 0.5 the one
 * whose blocks come nearest to touching in 24 generated crowded arches, whose crowns all touch (RMS 0.12 mm, worst
 * 0.9 mm; 0.29 mm at share 0.5).
 */
const BLOCK_END_SHARE = 0.25;

interface Block {
  readonly right: Vec2; // middles of its round ends
  readonly left: Vec2;
  readonly radiusMm: number;
}

function block(tooth: StandingTooth, pose: PlanePose, reduced: boolean): Block {
  const [right, left] = posedContactPoints(tooth, pose, reduced);
  const radiusMm = BLOCK_END_SHARE * tooth.widthMm;
  const [c, s] = [Math.cos(pose.directionRad), Math.sin(pose.directionRad)];
  return {
    right: [right[0] + radiusMm * c, right[1] + radiusMm * s],
    left: [left[0] - radiusMm * c, left[1] - radiusMm * s],
    radiusMm,
  };
}

const blockGap = (a: Block, b: Block): number =>
  Math.hypot(b.right[0] - a.left[0], b.right[1] - a.left[1]) - a.radiusMm - b.radiusMm;

function stageOf(
  track: ArchTrack,
  [a, b]: readonly [StandingTooth, StandingTooth],
  [poseA, poseB]: readonly [PlanePose, PlanePose],
): ContactStage {
  const [, from] = posedContactPoints(a, poseA, true);
  const [to] = posedContactPoints(b, poseB, true);
  const { alongMm } = track.place([(from[0] + to[0]) / 2, (from[1] + to[1]) / 2]);
  const { onward, outward } = track.at(alongMm);
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const turn = poseB.directionRad - poseA.directionRad;
  return {
    wholeGapMm: blockGap(block(a, poseA, false), block(b, poseB, false)),
    reducedGapMm: blockGap(block(a, poseA, true), block(b, poseB, true)),
    alongMm: dx * onward[0] + dy * onward[1],
    acrossMm: dx * outward[0] + dy * outward[1],
    turnRad: Math.atan2(Math.sin(turn), Math.cos(turn)),
  };
}

/**
 * Neighbours of a course that face each other, from first molar to first molar: those with room kept for absent teeth
 * between them do not.
 */
export function facingPairs(
  course: ToothCourse,
  gaps: readonly RowGap[],
): readonly (readonly [CourseTooth, CourseTooth])[] {
  return course.teeth.slice(1).flatMap((b, i) => {
    const a = course.teeth[i];
    const apart = gaps.some(({ teeth }) => teeth[0] === a.standing.tooth && teeth[1] === b.standing.tooth);
    const behind = isBehindRow(a.standing.tooth) && isBehindRow(b.standing.tooth);
    return apart || behind ? [] : [[a, b] as const];
  });
}

/**
 * Every contact at every stage by the measured widths alone: crowns as blocks with round ends. At once, and the first
 * look; `withSurfaceGaps` puts the crowns' own surfaces in their place.
 *
 * Units:    mm, radians.
 * Accuracy: exact for blocks; in the planned arch RMS 0.1 mm against generated crowns, before they move within 1.6 mm — tests/core/reduction/motion/courseAccuracy.test.ts.
 */
export function contactCourses(
  track: ArchTrack,
  course: ToothCourse,
  gaps: readonly RowGap[],
): readonly ContactCourse[] {
  return facingPairs(course, gaps).map(([a, b]) => ({
    teeth: [a.standing.tooth, b.standing.tooth],
    stages: a.poses.map((pose, k) => stageOf(track, [a.standing, b.standing], [pose, b.poses[k]])),
  }));
}
