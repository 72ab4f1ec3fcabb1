import {
  type ArchFrame,
  directionInArch,
  pointInArch,
  pointInScan,
  sideways,
} from '../../core/arch/ArchFrame.ts';
import { archPlace, type Jaw, positionOf, type Tooth } from '../../core/base/tooth.ts';
import { add, dot, normalize, scale, subtract, type Vec3 } from '../../core/base/Vec3.ts';
import type { Mark, MarkSite } from '../../core/marks/Mark.ts';

/** Rough size and middle of the arch in its frame, for pointing the camera; nothing is measured with it. */
export interface ArchExtent {
  readonly middleX: number;
  readonly backY: number;
  readonly frontY: number;
  readonly halfWidthMm: number;
}

export function archExtent(samples: Float32Array, frame: ArchFrame): ArchExtent {
  let [lowX, highX, lowY, highY] = [Infinity, -Infinity, Infinity, -Infinity];
  const across = sideways(frame);
  const ahead = frame.forward;
  const [originX, originY] = [dot(frame.originMm, across), dot(frame.originMm, ahead)];
  for (let i = 0; i < samples.length; i += 3) {
    const [px, py, pz] = [samples[i], samples[i + 1], samples[i + 2]];
    const x = px * across[0] + py * across[1] + pz * across[2] - originX;
    const y = px * ahead[0] + py * ahead[1] + pz * ahead[2] - originY;
    if (x < lowX) lowX = x;
    if (x > highX) highX = x;
    if (y < lowY) lowY = y;
    if (y > highY) highY = y;
  }
  return { middleX: (lowX + highX) / 2, backY: lowY, frontY: highY, halfWidthMm: (highX - lowX) / 2 };
}

/** Out of the arch, toward lip or cheek, at a point; unit, scan frame, in the occlusal plane. */
export function outwardAt(pointMm: Vec3, frame: ArchFrame, extent: ArchExtent): Vec3 {
  const [x, y] = pointInArch(frame, pointMm);
  // Distance behind the front decides how much of the direction is sideways: the arch is close to an ellipse.
  const lengthMm = Math.max(1, extent.frontY - extent.backY);
  const across = (x - extent.middleX) / Math.max(1, extent.halfWidthMm) ** 2;
  const ahead = Math.max(0, y - extent.backY) / lengthMm ** 2;
  const size = Math.hypot(across, ahead);
  if (size < 1e-9) return frame.forward;
  return normalize(add(scale(sideways(frame), across / size), scale(frame.forward, ahead / size)));
}

/** Along the arch toward the patient's right (on the right side: backward), unit, scan frame. */
export function towardRightAt(pointMm: Vec3, frame: ArchFrame, jaw: Jaw, extent: ArchExtent): Vec3 {
  const outward = outwardAt(pointMm, frame, extent);
  const [ox, oy] = directionInArch(frame, outward);
  const sign = jaw === 'lower' ? 1 : -1;
  return normalize(add(scale(sideways(frame), sign * oy), scale(frame.forward, -sign * ox)));
}

/** Camera guesses of the step from one tooth to the next, mm by position from the midline. */
const GUESSED_WIDTH_MM = [0, 6.5, 6.5, 7.5, 7, 7, 10.5, 10.5, 10];
const GUESSED_HALF_ARCH_MM = 55;
/** From the edge of the scan to the middle of the teeth. */
const RIM_MM = 6;

/**
 * Where a site is, or may be: its mark, else a place stepped off along the arch from the nearest mark, else a
 * place on half an ellipse of the scan's size. `exact` is true for the first.
 */
export function placeOfSite(
  tooth: Tooth,
  site: MarkSite,
  marks: readonly Mark[],
  frame: ArchFrame,
  jaw: Jaw,
  extent: ArchExtent,
): { readonly pointMm: Vec3; readonly exact: boolean } {
  const own = marks.find((mark) => mark.tooth === tooth && mark.site === site);
  if (own) return { pointMm: own.pointMm, exact: true };
  const goal = coordinateOf(tooth, site);
  let nearest: Mark | null = null;
  for (const mark of marks) {
    const gap = Math.abs(coordinateOf(mark.tooth, mark.site) - goal);
    if (!nearest || gap < Math.abs(coordinateOf(nearest.tooth, nearest.site) - goal)) nearest = mark;
  }
  if (!nearest) return { pointMm: onEllipse(goal, frame, jaw, extent), exact: false };
  let pointMm = nearest.pointMm;
  let left = goal - coordinateOf(nearest.tooth, nearest.site); // positive: toward the patient's left
  while (Math.abs(left) > 0.01) {
    const step = Math.sign(left) * Math.min(3, Math.abs(left));
    pointMm = subtract(pointMm, scale(towardRightAt(pointMm, frame, jaw, extent), step));
    left -= step;
  }
  return { pointMm, exact: false };
}

/** Place on half an ellipse through the scan's front and back, `alongMm` from the midline toward the patient's left. */
function onEllipse(alongMm: number, frame: ArchFrame, jaw: Jaw, extent: ArchExtent): Vec3 {
  const angle = (Math.PI / 2) * 0.92 * Math.max(-1, Math.min(1, alongMm / GUESSED_HALF_ARCH_MM));
  const right = jaw === 'lower' ? -1 : 1;
  const x = extent.middleX + right * Math.sin(angle) * (extent.halfWidthMm - RIM_MM);
  const y = extent.backY + Math.cos(angle) * (extent.frontY - extent.backY - RIM_MM);
  return pointInScan(frame, [x, y, 0]);
}

/** Guessed place along the arch, mm from the midline, growing toward the patient's left. */
function coordinateOf(tooth: Tooth, site: MarkSite): number {
  const position = positionOf(tooth);
  let mesial = 0;
  for (let p = 1; p < position; p++) mesial += GUESSED_WIDTH_MM[p];
  const width = GUESSED_WIDTH_MM[position] ?? 7;
  const own = site === 'mesial' ? 0 : site === 'distal' ? width : width / 2;
  return Math.sign(archPlace(tooth)) * (mesial + own);
}
