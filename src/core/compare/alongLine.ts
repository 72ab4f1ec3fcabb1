import { type ArchFrame, pointInOcclusalPlane } from '../arch/ArchFrame.ts';
import { isRight, type Jaw, positionOf, type Tooth } from '../base/tooth.ts';
import type { Vec2, Vec3 } from '../base/Vec3.ts';
import type { PlacedMark } from '../marks/Mark.ts';
import { measureArch } from '../measure/measureArch.ts';

const CHORD_MM = 3; // each side of the place

/**
 * Toward mesial along the arch line at a tooth, [x, y] of the arch frame, unit; null at the molars, which the line
 * ends at, and where no line can be laid. Refuses: as `measureArch`.
 */
export function alongLine(
  jaw: Jaw,
  frame: ArchFrame,
  marks: readonly PlacedMark[],
  missing: readonly Tooth[],
): (tooth: Tooth, pointMm: Vec3) => Vec2 | null {
  const { line } = measureArch({
    jaw,
    frame,
    marks,
    missing,
    enteredWidths: [],
    form: 'spline',
    forms: ['spline'],
    markSdMm: 0.1,
    medianEdgeMm: 0.2,
  });
  if (!line) return () => null;
  const points = line.pointsInOcclusalPlane; // from the patient's right to the left
  return (tooth, pointMm) => {
    if (positionOf(tooth) >= 6) return null;
    const [x, y] = pointInOcclusalPlane(frame, pointMm);
    let nearest = 0;
    const off = (i: number): number => Math.hypot(points[i][0] - x, points[i][1] - y);
    for (let i = 1; i < points.length; i++) if (off(i) < off(nearest)) nearest = i;
    const at = points[nearest];
    const far = (i: number): boolean => Math.hypot(points[i][0] - at[0], points[i][1] - at[1]) >= CHORD_MM;
    let [from, to] = [nearest, nearest];
    while (from > 0 && !far(from)) from--;
    while (to < points.length - 1 && !far(to)) to++;
    const [dx, dy] = [points[to][0] - points[from][0], points[to][1] - points[from][1]];
    const l = Math.hypot(dx, dy) * (isRight(tooth) ? 1 : -1);
    return l === 0 ? null : [dx / l, dy / l];
  };
}
