import type { ArchFrame } from '../arch/ArchFrame.ts';
import { add, dot, length, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import { localDirections } from './localDirections.ts';
import type { Mark } from './Mark.ts';

export type NudgeDirection = 'mesial' | 'distal' | 'buccal' | 'lingual' | 'up' | 'down';

export const NUDGE_MM = 0.05;
const LEAST_SLOPE = 0.05;

/**
 * A mark's point moved one step along the surface, in arch terms; `up` is occlusal. A mark that stands a
 * little off the surface (under a scanner's web) keeps its distance from it. Where the surface faces
 * straight into the direction it cannot slide and stays.
 *
 * Units:    mm; step NUDGE_MM unless given.
 */
export function nudgeMark(
  index: SurfaceIndex,
  frame: ArchFrame,
  mark: Mark,
  direction: NudgeDirection,
  stepMm: number = NUDGE_MM,
  marks: readonly Mark[] = [],
): Vec3 {
  const local = localDirections(frame, marks, mark.pointMm, mark.tooth);
  const wanted =
    direction === 'up' ? frame.occlusal : direction === 'down' ? scale(frame.occlusal, -1) : local[direction];
  const foot = index.closestPoint(mark.pointMm);
  if (!foot) return mark.pointMm;
  const slide = subtract(wanted, scale(foot.normal, dot(wanted, foot.normal)));
  const steepness = length(slide);
  if (steepness < LEAST_SLOPE) return mark.pointMm;
  const next = index.closestPoint(add(foot.pointMm, scale(slide, stepMm / steepness)));
  if (!next) return mark.pointMm;
  return add(mark.pointMm, subtract(next.pointMm, foot.pointMm));
}
