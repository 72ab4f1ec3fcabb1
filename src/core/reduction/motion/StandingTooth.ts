import { type ArchFrame, pointInArch } from '../../arch/ArchFrame.ts';
import { type Contact, isRight, positionOf, type Tooth } from '../../base/tooth.ts';
import type { Vec2, Vec3 } from '../../base/Vec3.ts';
import type { PlacedMark } from '../../marks/Mark.ts';
import type { ArchMeasures } from '../../measure/ArchMeasures.ts';
import type { ReductionPlan } from '../ReductionPlan.ts';

/** How a rigid crown lies in the occlusal plane, arch frame. */
export interface PlanePose {
  readonly centreMm: Vec2; // middle between its contact points as they stand
  readonly directionRad: number; // from its contact point toward the patient's right to the one toward the left
  readonly heightMm: number; // how far it has been raised
}

/** A crown with both contact points known, as it stands. `right` and `left` are the patient's sides of it. */
export interface StandingTooth {
  readonly tooth: Tooth;
  readonly pose: PlanePose;
  readonly widthMm: number; // between the contact points, in the occlusal plane
  readonly cutRightMm: number; // enamel the plan takes from that surface
  readonly cutLeftMm: number;
  readonly pointsHeightMm: readonly [number, number]; // right and left contact point, arch frame z
  readonly topMm: number | null; // height of its cusp or edge mark; null without one
}

/** The contact points of a crown in a pose, right and left, with the planned enamel off or still on. */
export function posedContactPoints(
  tooth: StandingTooth,
  pose: PlanePose,
  reduced: boolean,
): readonly [right: Vec2, left: Vec2] {
  const [c, s] = [Math.cos(pose.directionRad), Math.sin(pose.directionRad)];
  const right = tooth.widthMm / 2 - (reduced ? tooth.cutRightMm : 0);
  const left = tooth.widthMm / 2 - (reduced ? tooth.cutLeftMm : 0);
  const [x, y] = pose.centreMm;
  return [
    [x - right * c, y - right * s],
    [x + left * c, y + left * s],
  ];
}

/** Teeth behind the second premolars are what the row is set between: they are not set on the line. */
export const isBehindRow = (tooth: Tooth): boolean => positionOf(tooth) > 5 && tooth < 50;

/** Enamel a plan takes at one side of a tooth, mm. */
function cutAt(plan: ReductionPlan | null, tooth: Tooth, side: 'right' | 'left'): number {
  for (const { teeth, surfacesMm } of plan?.contacts ?? []) {
    if (side === 'right' && teeth[1] === tooth) return surfacesMm[1];
    if (side === 'left' && teeth[0] === tooth) return surfacesMm[0];
  }
  return 0;
}

/**
 * The crowns of an arch whose contact points are both known, from the patient's right to the left, with what the plan
 * takes from each side. Units: mm.
 */
export function standingTeeth(
  measures: Pick<ArchMeasures, 'teeth' | 'frame'>,
  marks: readonly PlacedMark[],
  plan: ReductionPlan | null,
): readonly StandingTooth[] {
  return measures.teeth.flatMap(({ tooth, mesialMm, distalMm }): StandingTooth[] => {
    if (!mesialMm || !distalMm) return [];
    const [a, b] = sidesOf(tooth, mesialMm, distalMm, measures.frame);
    const top = marks.find(
      (mark) => mark.tooth === tooth && (mark.site === 'cusp' || mark.site === 'incisal'),
    );
    return [
      {
        tooth,
        pose: {
          centreMm: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2],
          directionRad: Math.atan2(b[1] - a[1], b[0] - a[0]),
          heightMm: 0,
        },
        widthMm: Math.hypot(b[0] - a[0], b[1] - a[1]),
        cutRightMm: cutAt(plan, tooth, 'right'),
        cutLeftMm: cutAt(plan, tooth, 'left'),
        pointsHeightMm: [a[2], b[2]],
        topMm: top ? pointInArch(measures.frame, top.pointMm)[2] : null,
      },
    ];
  });
}

function sidesOf(tooth: Tooth, mesialMm: Vec3, distalMm: Vec3, frame: ArchFrame): readonly [Vec3, Vec3] {
  const [mesial, distal] = [pointInArch(frame, mesialMm), pointInArch(frame, distalMm)];
  return isRight(tooth) ? [distal, mesial] : [mesial, distal];
}

/** Contacts of a row of teeth, and the room kept between neighbours whose places between are empty. */
export interface RowGap {
  readonly teeth: Contact;
  readonly roomMm: number;
}
