import type { ArchFrame } from '../arch/ArchFrame.ts';
import { cross, dot, normalize, subtract, type Vec3 } from '../base/Vec3.ts';
import { inLocalAxes, type LocalAxes, nearVertices } from '../crowns/localPatch.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';

const REACH_MM = 1.6;
const SMOOTH_MM = 0.3;
const PULL_PER_MM = 0.12; // how much lower a place 1 mm farther from the click may be

/**
 * The highest place near a click, the surface smoothed over about 0.3 mm; `along` keeps the place from
 * wandering in that direction (an incisal edge is level along its length), null lets it go anywhere.
 */
export function snapTip(index: SurfaceIndex, frame: ArchFrame, surfaceMm: Vec3, along: Vec3 | null): Vec3 {
  const out = along ?? normalize(cross(frame.forward, frame.occlusal));
  const axes: LocalAxes = { originMm: surfaceMm, out, up: frame.occlusal, aside: cross(frame.occlusal, out) };
  const { values, count } = inLocalAxes(nearVertices(index, surfaceMm, REACH_MM), axes);
  const pull = (o: number): number => {
    const fromClick = Math.abs(values[o]) * (along ? 12 : 1) + Math.abs(values[o + 1]);
    return values[o + 2] - PULL_PER_MM * fromClick;
  };
  let best = -1;
  for (let i = 0; i < count; i++) {
    const o = 7 * i;
    if (values[o + 5] > 0 && (best < 0 || pull(o) > pull(best))) best = o;
  }
  if (best < 0) return surfaceMm;
  const sum = [0, 0, 0];
  let weight = 0;
  const centre = [values[best], values[best + 1], values[best + 2]];
  for (let o = 0; o < values.length; o += 7) {
    const d2 =
      (values[o] - centre[0]) ** 2 + (values[o + 1] - centre[1]) ** 2 + (values[o + 2] - centre[2]) ** 2;
    const w = values[o + 6] * Math.exp(-d2 / (2 * SMOOTH_MM * SMOOTH_MM));
    weight += w;
    for (let k = 0; k < 3; k++) sum[k] += w * values[o + k];
  }
  const [x, y, z] = sum.map((s) => s / weight);
  const p = [0, 1, 2].map((k) => surfaceMm[k] + x * out[k] + y * axes.aside[k] + z * axes.up[k]);
  return index.closestPoint([p[0], p[1], p[2]], 1)?.pointMm ?? surfaceMm;
}

/** The point on the line through `through` along `along` that lies level with `target` in that direction. */
export function slidTo(through: Vec3, along: Vec3, target: Vec3): Vec3 {
  const d = dot(subtract(target, through), along);
  return [through[0] + d * along[0], through[1] + d * along[1], through[2] + d * along[2]];
}
