import type { Vec3 } from '../core/base/Vec3.ts';

/** A rigid motion from the arch frame to the scan frame. */
export interface Pose {
  readonly x: Vec3; // where the arch frame's axes point in the scan frame
  readonly y: Vec3;
  readonly z: Vec3;
  readonly originMm: Vec3;
}

/** A direction of the arch frame in the scan frame. */
export const turned = (pose: Pose, [x, y, z]: Vec3): Vec3 => [
  pose.x[0] * x + pose.y[0] * y + pose.z[0] * z,
  pose.x[1] * x + pose.y[1] * y + pose.z[1] * z,
  pose.x[2] * x + pose.y[2] * y + pose.z[2] * z,
];

/** A point of the arch frame in the scan frame; mm. */
export function posed(pose: Pose, point: Vec3): Vec3 {
  const [x, y, z] = turned(pose, point);
  return [pose.originMm[0] + x, pose.originMm[1] + y, pose.originMm[2] + z];
}
