import { type ArchFrame, sideways } from '../../core/arch/ArchFrame.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import {
  add,
  cross,
  dot,
  mix,
  normalize,
  scale,
  subtract,
  type Vec2,
  type Vec3,
} from '../../core/base/Vec3.ts';

/** An orthographic look at the scan, scan frame: what the picture's centre is and how many mm it is high. */
export interface CameraView {
  readonly targetMm: Vec3;
  readonly toward: Vec3; // unit, from the target to the eye
  readonly up: Vec3; // unit, perpendicular to `toward`
  readonly spanMm: number; // height of the picture
}

/** A rectangle of the canvas in CSS pixels, y down. */
export interface Viewport {
  readonly leftPx: number;
  readonly topPx: number;
  readonly widthPx: number;
  readonly heightPx: number;
}

export type ViewName = 'occlusal' | 'front' | 'right' | 'left' | 'back';

/** Distance of the eye from the target; the projection is parallel, so it only has to clear the scan. */
export const EYE_DISTANCE_MM = 300;
const SPAN_LIMITS_MM: Vec2 = [2, 400];
const BACK_TILT_RAD = 0.62;

/** Heights at the edges of the picture that tools and prompt cover: a fitted arch lies between them. */
export interface CoveredEdges {
  readonly topPx: number;
  readonly bottomPx: number;
}

export const USUAL_EDGES: CoveredEdges = { topPx: 44, bottomPx: 64 };
const FIT_MARGIN = 1.04;

export const rightOf = (view: CameraView): Vec3 => cross(view.up, view.toward);

/** `v` turned by `angleRad` about the unit vector `axis` (Rodrigues). */
export function turned(v: Vec3, axis: Vec3, angleRad: number): Vec3 {
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  const along = dot(axis, v) * (1 - c);
  const across = cross(axis, v);
  return [
    v[0] * c + across[0] * s + axis[0] * along,
    v[1] * c + across[1] * s + axis[1] * along,
    v[2] * c + across[2] * s + axis[2] * along,
  ];
}

/** The part of `wish` perpendicular to `toward`, as a unit vector; any perpendicular when they are parallel. */
export function upright(wish: Vec3, toward: Vec3): Vec3 {
  const rest = subtract(wish, scale(toward, dot(wish, toward)));
  if (Math.hypot(...rest) > 1e-6) return normalize(rest);
  const other: Vec3 = Math.abs(toward[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0];
  return normalize(cross(toward, other));
}

/** The patient's right in the scan frame. */
const patientRight = (frame: ArchFrame, jaw: Jaw): Vec3 =>
  jaw === 'lower' ? sideways(frame) : scale(sideways(frame), -1);

/** Up in the occlusal picture: the patient's right is on the left of the page in both jaws, as on a tooth chart. */
const occlusalUp = (frame: ArchFrame, jaw: Jaw): Vec3 =>
  jaw === 'upper' ? frame.forward : scale(frame.forward, -1);

/** Eye direction and up of a named view; the other views show the jaw as it sits in the mouth. */
export function viewDirections(
  name: ViewName,
  frame: ArchFrame,
  jaw: Jaw,
): Pick<CameraView, 'toward' | 'up'> {
  if (name === 'occlusal') return { toward: frame.occlusal, up: occlusalUp(frame, jaw) };
  const head = jaw === 'lower' ? frame.occlusal : scale(frame.occlusal, -1);
  const right = patientRight(frame, jaw);
  const toward =
    name === 'front'
      ? frame.forward
      : name === 'right'
        ? right
        : name === 'left'
          ? scale(right, -1)
          : normalize(
              add(
                scale(frame.forward, -Math.cos(BACK_TILT_RAD)),
                scale(frame.occlusal, Math.sin(BACK_TILT_RAD)),
              ),
            );
  return { toward, up: upright(head, toward) };
}

/** The view along `directions` that shows all `samples` (3 per point, mm) with a margin, clear of the covered edges. */
export function fittedView(
  directions: Pick<CameraView, 'toward' | 'up'>,
  samples: Float32Array,
  viewport: Viewport,
  { topPx, bottomPx }: CoveredEdges = USUAL_EDGES,
): CameraView {
  const { toward, up } = directions;
  const right = cross(up, toward);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const [k, axis] of [right, up, toward].entries()) {
    const [x, y, z] = axis;
    for (let i = 0; i < samples.length; i += 3) {
      const along = samples[i] * x + samples[i + 1] * y + samples[i + 2] * z;
      if (along < low[k]) low[k] = along;
      if (along > high[k]) high[k] = along;
    }
  }
  if (!(high[0] >= low[0])) return { targetMm: [0, 0, 0], toward, up, spanMm: 80 };
  const middle = [0, 1, 2].map((k) => (low[k] + high[k]) / 2);
  const freeHeightPx = Math.max(80, viewport.heightPx - topPx - bottomPx);
  const mmPerPx = Math.max(
    ((high[1] - low[1]) * FIT_MARGIN) / freeHeightPx,
    ((high[0] - low[0]) * FIT_MARGIN) / Math.max(80, viewport.widthPx),
  );
  // The free part of the picture lies between tools and prompt: the target moves by half their difference.
  const rise = ((topPx - bottomPx) / 2) * mmPerPx;
  const targetMm = add(add(scale(right, middle[0]), scale(up, middle[1] + rise)), scale(toward, middle[2]));
  return { targetMm, toward, up, spanMm: Math.max(SPAN_LIMITS_MM[0], mmPerPx * viewport.heightPx) };
}

/** A look at one place of the arch, tilted from the occlusal direction toward `outward`. */
export function closeUpView(
  frame: ArchFrame,
  jaw: Jaw,
  targetMm: Vec3,
  outward: Vec3,
  tiltRad: number,
  spanMm: number,
): CameraView {
  const flat = subtract(outward, scale(frame.occlusal, dot(outward, frame.occlusal)));
  const toward =
    Math.hypot(...flat) < 1e-6
      ? frame.occlusal
      : normalize(add(scale(frame.occlusal, Math.cos(tiltRad)), scale(normalize(flat), Math.sin(tiltRad))));
  return { targetMm, toward, up: upright(occlusalUp(frame, jaw), toward), spanMm };
}

/** Share of the picture that tools and prompt may cover before a close-up gives way to them. */
const COVERED_MOST = 0.4;

/** The view with its target in the middle of what is left free, where little is. */
export function clearOf(
  view: CameraView,
  { heightPx }: Pick<Viewport, 'heightPx'>,
  { topPx, bottomPx }: CoveredEdges,
): CameraView {
  if (topPx + bottomPx < COVERED_MOST * heightPx) return view;
  const rise = ((topPx - bottomPx) / 2) * (view.spanMm / heightPx);
  return { ...view, targetMm: add(view.targetMm, scale(view.up, rise)) };
}

/** Turned about the screen's axes by a drag of (dx, dy) radians, keeping `pivotMm` where it is on the page. */
export function orbited(view: CameraView, dxRad: number, dyRad: number, pivotMm = view.targetMm): CameraView {
  const right = rightOf(view);
  const turn = (v: Vec3): Vec3 => turned(turned(v, view.up, -dxRad), right, -dyRad);
  const toward = normalize(turn(view.toward));
  return {
    ...view,
    toward,
    up: upright(turn(view.up), toward),
    targetMm: add(pivotMm, turn(subtract(view.targetMm, pivotMm))),
  };
}

/** Rolled about the line of sight. */
export const rolled = (view: CameraView, angleRad: number): CameraView => ({
  ...view,
  up: upright(turned(view.up, view.toward, angleRad), view.toward),
});

/** Moved so that the picture follows a drag of (dxPx, dyPx). */
export function panned(view: CameraView, dxPx: number, dyPx: number, viewport: Viewport): CameraView {
  const mmPerPx = view.spanMm / viewport.heightPx;
  const targetMm = add(
    view.targetMm,
    add(scale(rightOf(view), -dxPx * mmPerPx), scale(view.up, dyPx * mmPerPx)),
  );
  return { ...view, targetMm };
}

/** Zoomed by `factor` (> 1 nearer), keeping the surface under the pixel where it is. */
export function zoomed(view: CameraView, factor: number, atPx: Vec2, viewport: Viewport): CameraView {
  const spanMm = Math.min(SPAN_LIMITS_MM[1], Math.max(SPAN_LIMITS_MM[0], view.spanMm / factor));
  const before = onTargetPlane(view, atPx, viewport);
  const after = onTargetPlane({ ...view, spanMm }, atPx, viewport);
  return { ...view, spanMm, targetMm: add(view.targetMm, subtract(before, after)) };
}

/** The point of the plane through the target, facing the eye, that shows at a pixel. */
export function onTargetPlane(view: CameraView, [xPx, yPx]: Vec2, viewport: Viewport): Vec3 {
  const mmPerPx = view.spanMm / viewport.heightPx;
  const across = (xPx - viewport.leftPx - viewport.widthPx / 2) * mmPerPx;
  const upward = -(yPx - viewport.topPx - viewport.heightPx / 2) * mmPerPx;
  return add(view.targetMm, add(scale(rightOf(view), across), scale(view.up, upward)));
}

/** The line of sight through a pixel: starts at the eye's plane and looks along −toward. */
export function sightLine(
  view: CameraView,
  atPx: Vec2,
  viewport: Viewport,
): { originMm: Vec3; direction: Vec3 } {
  return {
    originMm: add(onTargetPlane(view, atPx, viewport), scale(view.toward, EYE_DISTANCE_MM)),
    direction: scale(view.toward, -1),
  };
}

/** Where a scan point shows, in the pixels the viewport is given in. */
export function pixelOf(view: CameraView, pointMm: Vec3, viewport: Viewport): Vec2 {
  const d = subtract(pointMm, view.targetMm);
  const pxPerMm = viewport.heightPx / view.spanMm;
  return [
    viewport.leftPx + viewport.widthPx / 2 + dot(d, rightOf(view)) * pxPerMm,
    viewport.topPx + viewport.heightPx / 2 - dot(d, view.up) * pxPerMm,
  ];
}

/** A view between two, for a glide; `ratio` 0–1. Directions go the short way round. */
export function viewBetween(from: CameraView, to: CameraView, ratio: number): CameraView {
  if (ratio >= 1) return to;
  const blended = mix(from.toward, to.toward, ratio);
  const toward =
    Math.hypot(...blended) > 0.05 ? normalize(blended) : turned(from.toward, from.up, Math.PI * ratio);
  const up = mix(from.up, to.up, ratio);
  return {
    targetMm: mix(from.targetMm, to.targetMm, ratio),
    toward,
    up: upright(Math.hypot(...up) > 0.05 ? up : turned(from.up, from.toward, Math.PI * ratio), toward),
    spanMm: from.spanMm * (to.spanMm / from.spanMm) ** ratio,
  };
}
