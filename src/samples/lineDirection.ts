import type { Vec3 } from '../core/base/Vec3.ts';
import type { ArchCurve } from './archCurve.ts';

/** Direction of growing s of the line at its point nearest to a point of the arch frame. */
export function lineDirection(curve: ArchCurve, [x, y]: Vec3): readonly [number, number] {
  let [best, at] = [Number.POSITIVE_INFINITY, 0];
  for (let s = -70; s <= 70; s += 0.25) {
    const [px, py] = curve.point(s);
    const d = Math.hypot(px - x, py - y);
    if (d < best) [best, at] = [d, s];
  }
  return curve.direction(at);
}
