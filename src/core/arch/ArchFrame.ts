import { add, cross, dot, normalize, scale, subtract, type Vec2, type Vec3 } from '../base/Vec3.ts';

/**
 * The arch frame in scan coordinates: right-handed, z = `occlusal` (out of the gum toward the opposing
 * teeth), y = `forward`, x = y × z (patient's right in a lower arch, left in an upper). Unit vectors,
 * perpendicular to each other. The origin lies on the occlusal plane.
 */
export interface ArchFrame {
  readonly originMm: Vec3;
  readonly occlusal: Vec3;
  readonly forward: Vec3;
}

/** The x axis of an arch frame. */
export const sideways = (frame: ArchFrame): Vec3 => cross(frame.forward, frame.occlusal);

/** A scan-frame point in the arch frame; mm in, mm out. */
export function pointInArch(frame: ArchFrame, pointMm: Vec3): Vec3 {
  const d = subtract(pointMm, frame.originMm);
  return [dot(d, sideways(frame)), dot(d, frame.forward), dot(d, frame.occlusal)];
}

/** A scan-frame direction in the arch frame. */
export const directionInArch = (frame: ArchFrame, direction: Vec3): Vec3 => [
  dot(direction, sideways(frame)),
  dot(direction, frame.forward),
  dot(direction, frame.occlusal),
];

/** A scan-frame point projected on the occlusal plane, [x, y] of the arch frame; mm in, mm out. */
export function pointInOcclusalPlane(frame: ArchFrame, pointMm: Vec3): Vec2 {
  const [x, y] = pointInArch(frame, pointMm);
  return [x, y];
}

/** An arch-frame point in the scan frame; mm in, mm out. */
export const pointInScan = (frame: ArchFrame, [x, y, z]: Vec3): Vec3 =>
  add(frame.originMm, add(add(scale(sideways(frame), x), scale(frame.forward, y)), scale(frame.occlusal, z)));

/** A frame from an origin and two directions; `forward` is made perpendicular to `occlusal`. */
export function archFrame(originMm: Vec3, occlusal: Vec3, forward: Vec3): ArchFrame {
  const z = normalize(occlusal);
  const y = normalize(subtract(forward, scale(z, dot(forward, z))));
  return { originMm, occlusal: z, forward: y };
}
