import { add, cross, dot, scale, type Vec3 } from '../base/Vec3.ts';
import { type ArchFrame, archFrame, sideways } from './ArchFrame.ts';

export type FrameAxis = 'sideways' | 'forward' | 'occlusal';

/** `v` turned about the unit vector `axis` by the right-hand rule (Rodrigues' rotation formula). */
function turned(v: Vec3, axis: Vec3, angleRad: number): Vec3 {
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  return add(add(scale(v, c), scale(cross(axis, v), s)), scale(axis, dot(axis, v) * (1 - c)));
}

/** The frame turned about one of its own axes through its origin, right-hand rule; radians. */
export function turnFrame(frame: ArchFrame, axis: FrameAxis, angleRad: number): ArchFrame {
  const about = axis === 'occlusal' ? frame.occlusal : axis === 'forward' ? frame.forward : sideways(frame);
  return archFrame(
    frame.originMm,
    turned(frame.occlusal, about, angleRad),
    turned(frame.forward, about, angleRad),
  );
}
