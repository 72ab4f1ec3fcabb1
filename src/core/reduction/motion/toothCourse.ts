import type { Tooth } from '../../base/tooth.ts';
import { type AlignedRow, alignedRow } from './alignedRow.ts';
import type { ArchTrack } from './archTrack.ts';
import type { CourseSettings } from './CourseSettings.ts';
import type { PlanePose, RowGap, StandingTooth } from './StandingTooth.ts';

/** One crown on its way. */
export interface CourseTooth {
  readonly standing: StandingTooth;
  readonly poses: readonly PlanePose[]; // by stage, from 0: as it stands
  readonly moved: ToothMovement; // from the first to the last
}

/** What moves where, the crown's middle, told along the arch line. */
export interface ToothMovement {
  readonly tooth: Tooth;
  readonly alongMm: number; // toward the patient's left positive
  readonly outwardMm: number; // out of the arch positive
  readonly turnRad: number; // against the line; counter-clockwise in the arch frame positive
  readonly raisedMm: number;
}

/** Rigid crowns from where they stand to the planned arch. */
export interface ToothCourse {
  readonly teeth: readonly CourseTooth[]; // patient's right to left
  readonly stageCount: number; // stages after the first; 0 where nothing moves
  readonly row: AlignedRow;
}

/** Below this nothing is said to move. */
const STILL_MM = 1e-6;

interface TrackPose {
  readonly alongMm: number;
  readonly outMm: number;
  readonly turnRad: number;
  readonly heightMm: number;
}

/** An angle between −π and π. */
const turnOf = (rad: number): number => Math.atan2(Math.sin(rad), Math.cos(rad));

const headingAt = (track: ArchTrack, alongMm: number): number => {
  const { onward } = track.at(alongMm);
  return Math.atan2(onward[1], onward[0]);
};

function onTrack(track: ArchTrack, pose: PlanePose): TrackPose {
  const { alongMm, outMm } = track.place(pose.centreMm);
  return {
    alongMm,
    outMm,
    turnRad: turnOf(pose.directionRad - headingAt(track, alongMm)),
    heightMm: pose.heightMm,
  };
}

const inPlane = (track: ArchTrack, { alongMm, outMm, turnRad, heightMm }: TrackPose): PlanePose => ({
  centreMm: track.pointOf({ alongMm, outMm }),
  directionRad: headingAt(track, alongMm) + turnRad,
  heightMm,
});

const between = (a: TrackPose, b: TrackPose, ratio: number): TrackPose => ({
  alongMm: a.alongMm + ratio * (b.alongMm - a.alongMm),
  outMm: a.outMm + ratio * (b.outMm - a.outMm),
  turnRad: a.turnRad + ratio * turnOf(b.turnRad - a.turnRad),
  heightMm: a.heightMm + ratio * (b.heightMm - a.heightMm),
});

const isSame = (a: PlanePose, b: PlanePose): boolean =>
  a.centreMm[0] === b.centreMm[0] &&
  a.centreMm[1] === b.centreMm[1] &&
  a.directionRad === b.directionRad &&
  a.heightMm === b.heightMm;

/** The longest step and the largest turn of one stage among several poses in a row. */
function largestStep(poses: readonly PlanePose[]): { readonly mm: number; readonly rad: number } {
  let [mm, rad] = [0, 0];
  for (let i = 1; i < poses.length; i++) {
    const [a, b] = [poses[i - 1], poses[i]];
    const raised = b.heightMm - a.heightMm;
    mm = Math.max(mm, Math.hypot(b.centreMm[0] - a.centreMm[0], b.centreMm[1] - a.centreMm[1], raised));
    rad = Math.max(rad, Math.abs(turnOf(b.directionRad - a.directionRad)));
  }
  return { mm, rad };
}

/**
 * The way of every crown from where it stands to the planned arch: all together, each in equal parts of its place along
 * the arch line, its distance from it, its turn against it and its height, in as few stages as keep every crown within
 * the most it may move and turn in one.
 *
 * Units:    mm, radians.
 * Accuracy: laws (mirror, nothing to do, sum of movements) — tests/core/reduction/motion/toothCourse.test.ts.
 * Source:   our definition, DEVELOPERS.md#teeth-to-the-planned-arch.
 */
export function toothCourse(
  track: ArchTrack,
  teeth: readonly StandingTooth[],
  gaps: readonly RowGap[],
  settings: CourseSettings,
): ToothCourse {
  const row = alignedRow(track, teeth, gaps, settings);
  const ways = teeth.map((tooth, i) => ({
    tooth,
    goal: row.poses[i],
    from: onTrack(track, tooth.pose),
    to: onTrack(track, row.poses[i]),
  }));
  // Both ends as they are, not what a way along the track makes of them.
  const posesIn = (way: (typeof ways)[number], count: number): readonly PlanePose[] =>
    Array.from({ length: count + 1 }, (_, k) => {
      if (k === 0 || isSame(way.tooth.pose, way.goal)) return way.tooth.pose;
      return k === count ? way.goal : inPlane(track, between(way.from, way.to, k / count));
    });
  const fewest = (way: (typeof ways)[number]): number => {
    const { mm, rad } = largestStep(posesIn(way, 1));
    if (mm < STILL_MM && rad < STILL_MM) return 0;
    return Math.max(1, Math.ceil(Math.max(mm / settings.stepMm, rad / settings.stepRad) - 1e-9));
  };
  let stageCount = ways.reduce((most, way) => Math.max(most, fewest(way)), 0);
  const tooLong = (count: number): boolean =>
    ways.some((way) => {
      const { mm, rad } = largestStep(posesIn(way, count));
      return mm > settings.stepMm * (1 + 1e-9) || rad > settings.stepRad * (1 + 1e-9);
    });
  // The way along a curve is longer than the straight one.
  while (stageCount > 0 && tooLong(stageCount)) stageCount++;
  return {
    stageCount,
    row,
    teeth: ways.map((way) => ({
      standing: way.tooth,
      poses: stageCount === 0 ? [way.tooth.pose] : posesIn(way, stageCount),
      moved: {
        tooth: way.tooth.tooth,
        alongMm: way.to.alongMm - way.from.alongMm,
        outwardMm: way.to.outMm - way.from.outMm,
        turnRad: turnOf(way.to.turnRad - way.from.turnRad),
        raisedMm: way.to.heightMm - way.from.heightMm,
      },
    })),
  };
}
