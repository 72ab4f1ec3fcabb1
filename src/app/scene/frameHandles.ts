import { type ArchFrame, archFrame, sideways } from '../../core/arch/ArchFrame.ts';
import {
  add,
  cross,
  dot,
  length,
  normalize,
  scale,
  subtract,
  type Vec2,
  type Vec3,
} from '../../core/base/Vec3.ts';
import { type CameraView, onTargetPlane, pixelOf, turned, type Viewport } from './cameraView.ts';

export type HandleName = 'Forward' | 'Occlusal' | 'Side';

/** Kept free round the stage, where tools and labels are. */
const EDGE_PX = 64;

/** Tips of the arch frame's axes, drawn as handles; as long as the picture has room for. */
export function frameHandles(
  frame: ArchFrame,
  view: CameraView,
  viewport: Viewport,
): readonly { readonly label: HandleName; readonly pointMm: Vec3; readonly fromMm: Vec3 }[] {
  const reachMm = Math.min(34, view.spanMm * 0.36);
  const tip = (label: HandleName, direction: Vec3) => {
    const ratio = roomAlong(frame.originMm, scale(direction, reachMm), view, viewport);
    return {
      label,
      pointMm: add(frame.originMm, scale(direction, reachMm * ratio)),
      fromMm: frame.originMm,
    };
  };
  return [tip('Forward', frame.forward), tip('Occlusal', frame.occlusal), tip('Side', sideways(frame))];
}

/** How much of an arm, 0.2 to 1, stays clear of the edges of the picture. */
function roomAlong(fromMm: Vec3, arm: Vec3, view: CameraView, viewport: Viewport): number {
  const from = pixelOf(view, fromMm, viewport);
  const to = pixelOf(view, add(fromMm, arm), viewport);
  const sizes = [viewport.widthPx, viewport.heightPx];
  let ratio = 1;
  for (const k of [0, 1]) {
    const step = to[k] - from[k];
    const room = step > 0 ? sizes[k] - EDGE_PX - from[k] : from[k] - EDGE_PX;
    if (Math.abs(step) > room) ratio = Math.min(ratio, room / Math.abs(step));
  }
  return Math.max(0.2, ratio);
}

/** The frame turned the shortest way so that a handle's tip comes under a pixel; its depth is kept. */
export function frameByHandle(
  frame: ArchFrame,
  tipMm: Vec3,
  atPx: Vec2,
  view: CameraView,
  viewport: Viewport,
): ArchFrame {
  const depth = dot(subtract(tipMm, view.targetMm), view.toward);
  const wanted = add(onTargetPlane(view, atPx, viewport), scale(view.toward, depth));
  const from = normalize(subtract(tipMm, frame.originMm));
  const arm = subtract(wanted, frame.originMm);
  if (length(arm) < 1) return frame;
  const to = normalize(arm);
  const axis = cross(from, to);
  const sine = length(axis);
  if (sine < 1e-9) return frame;
  const angle = Math.atan2(sine, dot(from, to));
  const turn = (v: Vec3): Vec3 => turned(v, scale(axis, 1 / sine), angle);
  return archFrame(frame.originMm, turn(frame.occlusal), turn(frame.forward));
}
