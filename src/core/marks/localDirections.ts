import { type ArchFrame, pointInArch, sideways } from '../arch/ArchFrame.ts';
import { archPlace, isRight, jawOf, type Tooth } from '../base/tooth.ts';
import { add, dot, length, normalize, scale, subtract, type Vec2, type Vec3 } from '../base/Vec3.ts';
import type { Mark } from './Mark.ts';

/** Unit vectors at a tooth, scan frame, all in the occlusal plane. */
export interface LocalDirections {
  readonly mesial: Vec3;
  readonly distal: Vec3;
  readonly buccal: Vec3; // toward lips and cheeks
  readonly lingual: Vec3;
}

/** A middling arch when nothing is marked: half an ellipse, mm, in the arch frame. Practice, no source; a direction only. */
const ELLIPSE = { halfWidthMm: 28, depthMm: 32, centreBehindMm: 12 };
const NEIGHBOURS = 2.5; // teeth
const LEAST_CHORD_MM = 3;

/** Direction of travel from the patient's right to the left where the arch's outward side is `outward`. */
const rightToLeft = (tooth: Tooth, [x, y]: Vec2): Vec2 => (jawOf(tooth) === 'lower' ? [-y, x] : [y, -x]);

/** Right-to-left tangent of a middling arch at a point; [x, y] of the arch frame, unit. */
export function middlingTangent(frame: ArchFrame, tooth: Tooth, pointMm: Vec3): Vec2 {
  const [x, y] = pointInArch(frame, pointMm);
  const nx = x / ELLIPSE.halfWidthMm ** 2;
  const ny = (y + ELLIPSE.centreBehindMm) / ELLIPSE.depthMm ** 2;
  const l = Math.hypot(nx, ny);
  return rightToLeft(tooth, l > 1e-9 ? [nx / l, ny / l] : [0, 1]);
}

/** Right-to-left tangent from marks of this tooth and its neighbours; null where they are too few or too close. */
function markedTangent(frame: ArchFrame, marks: readonly Mark[], tooth: Tooth, pointMm: Vec3): Vec2 | null {
  const proximal = marks.filter((m) => m.site === 'mesial' || m.site === 'distal');
  const own = proximal.filter((m) => m.tooth === tooth);
  const mesial = own.find((m) => m.site === 'mesial');
  const distal = own.find((m) => m.site === 'distal');
  const place = (t: Tooth): number => (archPlace(t) > 0 ? archPlace(t) - 0.5 : archPlace(t) + 0.5);
  const travel = (a: Vec3, b: Vec3): Vec2 | null => {
    const [ax, ay] = pointInArch(frame, a);
    const [bx, by] = pointInArch(frame, b);
    const l = Math.hypot(bx - ax, by - ay);
    return l >= LEAST_CHORD_MM ? [(bx - ax) / l, (by - ay) / l] : null;
  };
  if (mesial && distal) {
    return isRight(tooth) ? travel(distal.pointMm, mesial.pointMm) : travel(mesial.pointMm, distal.pointMm);
  }
  const near = proximal.filter(
    (m) => m.tooth !== tooth && Math.abs(place(m.tooth) - place(tooth)) <= NEIGHBOURS,
  );
  const mean = (side: readonly Mark[]): Vec3 =>
    scale(
      side.reduce((s, m) => add(s, m.pointMm), [0, 0, 0] as Vec3),
      1 / side.length,
    );
  const before = near.filter((m) => place(m.tooth) < place(tooth));
  const after = near.filter((m) => place(m.tooth) > place(tooth));
  if (before.length > 0 && after.length > 0) return travel(mean(before), mean(after));
  return before.length > 0
    ? travel(mean(before), pointMm)
    : after.length > 0
      ? travel(pointMm, mean(after))
      : null;
}

/** Directions from a right-to-left tangent [x, y] of the arch frame. */
export function directionsAlong(frame: ArchFrame, tooth: Tooth, tangent: Vec2): LocalDirections {
  const inPlane = ([x, y]: Vec2): Vec3 => normalize(add(scale(sideways(frame), x), scale(frame.forward, y)));
  const travel = inPlane(tangent);
  const mesial = isRight(tooth) ? travel : scale(travel, -1);
  const [tx, ty] = tangent;
  const buccal = inPlane(jawOf(tooth) === 'lower' ? [ty, -tx] : [-ty, tx]);
  return { mesial, distal: scale(mesial, -1), buccal, lingual: scale(buccal, -1) };
}

/**
 * Mesial, distal, buccal and lingual at a tooth: from its own two marks, else from its neighbours' marks, else
 * from a middling arch in the frame. Good for moving and looking, not a measurement.
 */
export function localDirections(
  frame: ArchFrame,
  marks: readonly Mark[],
  pointMm: Vec3,
  tooth: Tooth,
): LocalDirections {
  const tangent = markedTangent(frame, marks, tooth, pointMm) ?? middlingTangent(frame, tooth, pointMm);
  return directionsAlong(frame, tooth, tangent);
}

/** A direction laid into the occlusal plane, unit; `fallback` where it stands upright. */
export function inOcclusalPlane(frame: ArchFrame, direction: Vec3, fallback: Vec3): Vec3 {
  const flat = subtract(direction, scale(frame.occlusal, dot(direction, frame.occlusal)));
  return length(flat) > 1e-9 ? normalize(flat) : fallback;
}
