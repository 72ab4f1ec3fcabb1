import type { OrthographicCamera } from 'three';
import { add, scale } from '../../core/base/Vec3.ts';
import { type CameraView, EYE_DISTANCE_MM, type Viewport } from './cameraView.ts';

/** Sets a parallel camera to a look at the scan that fills a rectangle. */
export function aimCamera(
  camera: OrthographicCamera,
  view: CameraView,
  { widthPx, heightPx }: Viewport,
): void {
  const half = view.spanMm / 2;
  camera.top = half;
  camera.bottom = -half;
  camera.right = (half * widthPx) / heightPx;
  camera.left = -camera.right;
  camera.near = 1;
  camera.far = 2 * EYE_DISTANCE_MM;
  camera.up.set(...(view.up as [number, number, number]));
  camera.position.set(
    ...(add(view.targetMm, scale(view.toward, EYE_DISTANCE_MM)) as [number, number, number]),
  );
  camera.lookAt(...(view.targetMm as [number, number, number]));
  camera.updateProjectionMatrix();
  camera.updateMatrixWorld();
}
