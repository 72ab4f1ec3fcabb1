import { add, dot, scale, subtract, type Vec3 } from '../../core/base/Vec3.ts';
import type { CutPlane } from './sectionOutline.ts';

/** What the scene asks of the full-resolution surface. */
export interface SurfacePicker {
  raycast(originMm: Vec3, direction: Vec3): { readonly pointMm: Vec3 } | null;
}

/** First point of the surface along a ray; what a cut takes away is not hit. */
export function shownHit(
  picker: SurfacePicker | null,
  cut: CutPlane | null,
  originMm: Vec3,
  direction: Vec3,
): Vec3 | null {
  if (!picker) return null;
  if (!cut) return picker.raycast(originMm, direction)?.pointMm ?? null;
  const height = dot(subtract(originMm, cut.pointMm), cut.normal);
  const climb = dot(direction, cut.normal);
  if (height > 0) {
    // The ray starts in the part taken away: it can only hit beyond the plane.
    if (climb >= 0) return null;
    const entry = add(originMm, scale(direction, height / -climb));
    return picker.raycast(entry, direction)?.pointMm ?? null;
  }
  const hit = picker.raycast(originMm, direction)?.pointMm ?? null;
  return hit && dot(subtract(hit, cut.pointMm), cut.normal) <= 0 ? hit : null;
}
