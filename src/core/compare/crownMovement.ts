import { isRight, jawOf } from '../base/tooth.ts';
import { cross, dot, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import type { ToothChange } from '../visits/FollowUp.ts';
import type { ComparedScan } from './ComparedScan.ts';
import type { LaidCrown } from './layOver.ts';
import type { StillMotion } from './movementReference.ts';
import { motionAfter, motionBack, movedBy, turnVector } from './RigidMotion.ts';

/**
 * How a crown moved and turned against what stood still: along the row of teeth toward distal, outward, out of the
 * gum; turned about the axis out of the gum, the distal and the outward one (right hand).
 *
 * Units:    mm, radians.
 */
export function crownMovement(
  earlier: ComparedScan,
  { tooth, laid }: LaidCrown,
  still: StillMotion,
): Pick<ToothChange, 'movedMm' | 'movedSdMm' | 'turnedRad' | 'turnedSdRad'> {
  const { centreMm, along } = earlier.crowns.get(tooth)!;
  const own = motionAfter(motionBack(still.motion), laid.motion);
  const shift = subtract(movedBy(own, centreMm), centreMm);
  const turn = turnVector(own);
  const up = earlier.frame.occlusal;
  const distal = scale(along, -1);
  // Seen from the teeth, mesial and outward are a quarter turn apart, one way round on either side.
  const outward = scale(cross(up, along), outwardSign(tooth));
  const c = laid.covariance;
  const { rmsMm } = still.reference;
  const sd = (i: number): number => Math.sqrt((c[i] + c[i + 7] + c[i + 14]) / 3);
  return {
    movedMm: [dot(shift, distal), dot(shift, outward), dot(shift, up)],
    movedSdMm: Math.hypot(sd(21), rmsMm, DIRECTION_SD_RAD * Math.hypot(...shift)),
    turnedRad: [dot(turn, up), dot(turn, distal), dot(turn, outward)] as Vec3,
    turnedSdRad: Math.hypot(sd(0), rmsMm / REFERENCE_ARM_MM, DIRECTION_SD_RAD * Math.hypot(...turn)),
  };
}

const REFERENCE_ARM_MM = 20; // half the breadth of an arch: how a reference that is off turns everything

/** Of the direction of the arch at a tooth, by which a movement is told in its parts; generated arches. */
const DIRECTION_SD_RAD = 0.04;

/** +1 where up × mesial points outward. */
const outwardSign = (tooth: number): 1 | -1 => (isRight(tooth) === (jawOf(tooth) === 'upper') ? 1 : -1);
