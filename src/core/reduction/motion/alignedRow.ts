import { isRight } from '../../base/tooth.ts';
import type { ArchTrack } from './archTrack.ts';
import type { CourseSettings } from './CourseSettings.ts';
import {
  isBehindRow,
  type PlanePose,
  posedContactPoints,
  type RowGap,
  type StandingTooth,
} from './StandingTooth.ts';

/** The row as it is to stand. */
export interface AlignedRow {
  readonly poses: readonly PlanePose[]; // by tooth, as given
  /** What is left free along the line between the row and staying molars; negative: the row does not fit. */
  readonly freeMm: { readonly right: number; readonly left: number };
  /** What straight teeth take up of the curved line beyond their widths. */
  readonly curveMm: number;
  readonly middleMm: number; // along the line: where the middle of the row comes to lie
  readonly middleStoodMm: number;
}

interface Placed {
  readonly tooth: StandingTooth;
  readonly fromMm: number; // along the line
  readonly toMm: number;
}

const EVENED = 12;

const reducedWidthMm = (tooth: StandingTooth): number => tooth.widthMm - tooth.cutRightMm - tooth.cutLeftMm;

/** Lays teeth contact to contact along the line from a place, in the order given; `way` −1 goes to the right. */
function lay(
  track: ArchTrack,
  teeth: readonly StandingTooth[],
  startMm: number,
  way: 1 | -1,
  gaps: readonly RowGap[],
): readonly Placed[] {
  const placed: Placed[] = [];
  let at = startMm;
  teeth.forEach((tooth, i) => {
    const before = teeth[i - 1]?.tooth;
    const pair = way === 1 ? [before, tooth.tooth] : [tooth.tooth, before];
    const gap = gaps.find(({ teeth: [a, b] }) => a === pair[0] && b === pair[1]);
    if (gap) at += way * gap.roomMm;
    const end = track.chordEnd(at, way * reducedWidthMm(tooth));
    placed.push({ tooth, fromMm: Math.min(at, end), toMm: Math.max(at, end) });
    at = end;
  });
  return placed;
}

/** The pose in which the reduced contact points of a tooth lie at two places of the line. */
function poseOnLine(track: ArchTrack, { tooth, fromMm, toMm }: Placed, heightMm: number): PlanePose {
  const [a, b] = [track.at(fromMm).pointMm, track.at(toMm).pointMm];
  const directionRad = Math.atan2(b[1] - a[1], b[0] - a[0]);
  // A tooth cut more on one side keeps its middle: the reduced middle lies off it.
  const off = (tooth.cutRightMm - tooth.cutLeftMm) / 2;
  return {
    centreMm: [
      (a[0] + b[0]) / 2 - off * Math.cos(directionRad),
      (a[1] + b[1]) / 2 - off * Math.sin(directionRad),
    ],
    directionRad,
    heightMm,
  };
}

const alongOf = (track: ArchTrack, tooth: StandingTooth, side: 0 | 1, reduced: boolean): number =>
  track.place(posedContactPoints(tooth, tooth.pose, reduced)[side]).alongMm;

/** Where the middle of the row stands: half way between the innermost contact points of both sides. */
function standingMiddleMm(track: ArchTrack, row: readonly StandingTooth[]): number {
  const right = row.filter(({ tooth }) => isRight(tooth)).at(-1);
  const left = row.find(({ tooth }) => !isRight(tooth));
  const ends = [right && alongOf(track, right, 1, false), left && alongOf(track, left, 0, false)].filter(
    (along) => along !== undefined,
  );
  return ends.length > 0 ? ends.reduce((a, b) => a + b, 0) / ends.length : track.lengthMm / 2;
}

/** Raise of each tooth that brings its cusp or edge to the mean height of all of them; 0 where it has no such mark. */
function raises(teeth: readonly StandingTooth[]): (tooth: StandingTooth) => number {
  const tops = teeth.flatMap(({ topMm }) => topMm ?? []);
  const mean = tops.reduce((a, b) => a + b, 0) / Math.max(1, tops.length);
  return ({ topMm }) => (topMm === null ? 0 : mean - topMm);
}

/**
 * Where the teeth are to stand: from second premolar to second premolar contact to contact, every reduced contact
 * point on the arch line, each tooth turned as the line runs beneath it. With staying molars, what is left over or
 * lacking shows between second premolars and first molars; with a staying midline the molars follow along the line,
 * keeping their distance from it and their turn. Room kept for absent teeth stays as given.
 *
 * Units:    mm.
 * Accuracy: exact laws — tests/core/reduction/motion/toothCourse.test.ts.
 * Source:   our definition, DEVELOPERS.md#teeth-to-the-planned-arch.
 */
export function alignedRow(
  track: ArchTrack,
  teeth: readonly StandingTooth[],
  gaps: readonly RowGap[],
  settings: CourseSettings,
): AlignedRow {
  const row = teeth.filter(({ tooth }) => !isBehindRow(tooth));
  const behind = teeth.filter(({ tooth }) => isBehindRow(tooth));
  const rightMolar = behind.filter(({ tooth }) => isRight(tooth)).at(-1);
  const leftMolar = behind.find(({ tooth }) => !isRight(tooth));
  const rightEndMm = rightMolar ? alongOf(track, rightMolar, 1, true) : 0;
  const leftEndMm = leftMolar ? alongOf(track, leftMolar, 0, true) : track.lengthMm;

  const laid = (middleMm: number): readonly Placed[] => {
    const right = row.filter(({ tooth }) => isRight(tooth)).reverse();
    const left = row.filter(({ tooth }) => !isRight(tooth));
    const across = gaps.find(({ teeth: [a, b] }) => a === right[0]?.tooth && b === left[0]?.tooth);
    const half = (across?.roomMm ?? 0) / 2;
    const toRight = lay(track, right, middleMm - half, -1, gaps);
    return [...[...toRight].reverse(), ...lay(track, left, middleMm + half, 1, gaps)];
  };
  const endGap = (a: StandingTooth | undefined, b: StandingTooth | undefined): number =>
    gaps.find(({ teeth }) => teeth[0] === a?.tooth && teeth[1] === b?.tooth)?.roomMm ?? 0;
  const keptRight = endGap(rightMolar, row[0]);
  const keptLeft = endGap(row.at(-1), leftMolar);
  const free = (placed: readonly Placed[]) => ({
    right: (placed[0]?.fromMm ?? leftEndMm) - rightEndMm - keptRight,
    left: leftEndMm - (placed.at(-1)?.toMm ?? rightEndMm) - keptLeft,
  });

  const middleStoodMm = standingMiddleMm(track, row);
  // Moving the row by a length changes the difference of both sides by about twice that.
  const even = (): number => {
    let middle = middleStoodMm;
    for (let i = 0; i < EVENED; i++) {
      const { right, left } = free(laid(middle));
      middle -= (right - left) / 2;
    }
    return middle;
  };
  const evenly = settings.reference === 'molars' && settings.middle === 'even' && row.length > 0;
  const middleMm = (evenly ? even() : middleStoodMm) + settings.middleShiftMm;
  const placed = laid(middleMm);
  const left = free(placed);
  const follow = settings.reference === 'midline';
  const raise = settings.levelled ? raises(teeth) : () => 0;

  const poses = teeth.map((tooth): PlanePose => {
    const own = placed.find((p) => p.tooth === tooth);
    if (own) return poseOnLine(track, own, raise(tooth));
    const raised = { ...tooth.pose, heightMm: raise(tooth) };
    if (!follow) return raised;
    const { alongMm, outMm } = track.place(tooth.pose.centreMm);
    const moved = alongMm + (isRight(tooth.tooth) ? left.right : -left.left);
    const [was, is] = [track.at(alongMm).onward, track.at(moved).onward];
    const bend = Math.atan2(was[0] * is[1] - was[1] * is[0], was[0] * is[0] + was[1] * is[1]);
    return {
      centreMm: track.pointOf({ alongMm: moved, outMm }),
      directionRad: tooth.pose.directionRad + bend,
      heightMm: raised.heightMm,
    };
  });
  const curveMm = placed.reduce((sum, p) => sum + p.toMm - p.fromMm - reducedWidthMm(p.tooth), 0);
  return { poses, freeMm: follow ? { right: 0, left: 0 } : left, curveMm, middleMm, middleStoodMm };
}
