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
import { type CameraView, onTargetPlane, turned, type Viewport } from './cameraView.ts';

export type HandleName = 'Forward' | 'Occlusal' | 'Side';

/** Tips of the arch frame's axes, drawn as handles; their length follows the zoom. */
export function frameHandles(
  frame: ArchFrame,
  spanMm: number,
): readonly { readonly label: HandleName; readonly pointMm: Vec3; readonly fromMm: Vec3 }[] {
  const reach = Math.min(34, spanMm * 0.3);
  const tip = (label: HandleName, direction: Vec3, ratio = 1) => ({
    label,
    pointMm: add(frame.originMm, scale(direction, reach * ratio)),
    fromMm: frame.originMm,
  });
  return [tip('Forward', frame.forward), tip('Occlusal', frame.occlusal, 0.8), tip('Side', sideways(frame))];
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
