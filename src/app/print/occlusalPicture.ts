import { type ArchFrame, directionInArch, pointInArch } from '../../core/arch/ArchFrame.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import { normalize, type Vec2, type Vec3 } from '../../core/base/Vec3.ts';
import type { ScanMesh } from '../../core/scan/ScanMesh.ts';

/** A scan drawn from above in greys, on the paper of `archDrawing`: mm, y down, the patient's right on the left. */
export interface OcclusalPicture {
  readonly fromMm: Vec2; // upper left corner
  readonly sizeMm: Vec2;
  readonly widthPx: number;
  readonly heightPx: number;
  /** RGBA, 4 per pixel; clear where there is no surface. */
  readonly pixels: Uint8ClampedArray<ArrayBuffer>;
}

/** Toward the light, in the arch frame of the paper: from the upper left and above. */
const LIGHT = normalize([-0.35, 0.45, 0.9]);
const DARKEST = 70; // of 255: a surface turned away from the light still prints as grey
const STEP_MM = 0.9; // a fall in height between neighbouring pixels that is drawn as an edge
const EDGE = 25;
const MARGIN_PX = 2;

/**
 * Draws a scan from above with no graphics card: the sheets are made in the one moment the browser gives before
 * printing, and look alike on every machine.
 *
 * Units:    mm; `pxPerMm` pixels for each.
 * Accuracy: every pixel shows the highest surface above it — tests/app/print/occlusalPicture.test.ts.
 */
export function occlusalPicture(
  mesh: Pick<ScanMesh, 'positions' | 'indices' | 'normals'>,
  frame: ArchFrame,
  jaw: Jaw,
  pxPerMm: number,
): OcclusalPicture {
  const { xs, ys, zs, fromMm, toMm } = onPaper(mesh.positions, frame, jaw);
  const [widthPx, heightPx] = [0, 1].map((k) => Math.ceil((toMm[k] - fromMm[k]) * pxPerMm) + 2 * MARGIN_PX);
  const height = new Float32Array(widthPx * heightPx).fill(Number.NEGATIVE_INFINITY);
  const shade = new Uint8Array(widthPx * heightPx);
  const lit = brightness(mesh.normals, frame, jaw);
  const px = (mm: number, k: 0 | 1): number => (mm - fromMm[k]) * pxPerMm + MARGIN_PX;
  for (let at = 0; at < mesh.indices.length; at += 3) {
    const [a, b, c] = [mesh.indices[at], mesh.indices[at + 1], mesh.indices[at + 2]];
    const [ax, ay, bx, by] = [px(xs[a], 0), px(ys[a], 1), px(xs[b], 0), px(ys[b], 1)];
    const [cx, cy] = [px(xs[c], 0), px(ys[c], 1)];
    const area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    if (area === 0) continue;
    const [x0, x1] = [Math.ceil(Math.min(ax, bx, cx) - 0.5), Math.floor(Math.max(ax, bx, cx) - 0.5)];
    const [y0, y1] = [Math.ceil(Math.min(ay, by, cy) - 0.5), Math.floor(Math.max(ay, by, cy) - 0.5)];
    for (let y = y0; y <= y1; y++) {
      for (let x = x0; x <= x1; x++) {
        const u = ((bx - x - 0.5) * (cy - y - 0.5) - (by - y - 0.5) * (cx - x - 0.5)) / area;
        const v = ((cx - x - 0.5) * (ay - y - 0.5) - (cy - y - 0.5) * (ax - x - 0.5)) / area;
        const w = 1 - u - v;
        if (u < 0 || v < 0 || w < 0) continue;
        const z = u * zs[a] + v * zs[b] + w * zs[c];
        const to = y * widthPx + x;
        if (z <= height[to]) continue;
        height[to] = z;
        shade[to] = u * lit[a] + v * lit[b] + w * lit[c];
      }
    }
  }
  return {
    fromMm: [fromMm[0] - MARGIN_PX / pxPerMm, fromMm[1] - MARGIN_PX / pxPerMm],
    sizeMm: [widthPx / pxPerMm, heightPx / pxPerMm],
    widthPx,
    heightPx,
    pixels: inGreys(height, shade, widthPx, heightPx),
  };
}

/** Every vertex on the paper, with its height. */
function onPaper(positions: Float32Array, frame: ArchFrame, jaw: Jaw) {
  const count = positions.length / 3;
  const [xs, ys, zs] = [new Float32Array(count), new Float32Array(count), new Float32Array(count)];
  const fromMm: [number, number] = [Infinity, Infinity];
  const toMm: [number, number] = [-Infinity, -Infinity];
  const turn = jaw === 'lower' ? -1 : 1;
  for (let i = 0; i < count; i++) {
    const [x, y, z] = pointInArch(frame, [positions[3 * i], positions[3 * i + 1], positions[3 * i + 2]]);
    xs[i] = turn * x;
    ys[i] = -turn * y;
    zs[i] = z;
    fromMm[0] = Math.min(fromMm[0], xs[i]);
    fromMm[1] = Math.min(fromMm[1], ys[i]);
    toMm[0] = Math.max(toMm[0], xs[i]);
    toMm[1] = Math.max(toMm[1], ys[i]);
  }
  return { xs, ys, zs, fromMm, toMm };
}

/** Grey of each vertex, 0–255. */
function brightness(normals: Float32Array, frame: ArchFrame, jaw: Jaw): Uint8Array {
  const turn = jaw === 'lower' ? -1 : 1;
  // The light in scan coordinates, so that each normal is met as it stands in the file.
  const axes: readonly Vec3[] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  const light = axes.map((axis) => {
    const [x, y, z] = directionInArch(frame, axis);
    return turn * x * LIGHT[0] + turn * y * LIGHT[1] + z * LIGHT[2];
  });
  const out = new Uint8Array(normals.length / 3);
  for (let i = 0; i < out.length; i++) {
    const facing = normals[3 * i] * light[0] + normals[3 * i + 1] * light[1] + normals[3 * i + 2] * light[2];
    out[i] = DARKEST + (250 - DARKEST) * Math.max(0, facing);
  }
  return out;
}

/** Greys with dark edges where the surface ends or falls away steeply. */
function inGreys(
  height: Float32Array,
  shade: Uint8Array,
  widthPx: number,
  heightPx: number,
): Uint8ClampedArray<ArrayBuffer> {
  const pixels = new Uint8ClampedArray(4 * widthPx * heightPx);
  const around = [1, -1, widthPx, -widthPx];
  for (let y = 1; y < heightPx - 1; y++) {
    for (let x = 1; x < widthPx - 1; x++) {
      const at = y * widthPx + x;
      if (height[at] === Number.NEGATIVE_INFINITY) continue;
      const isEdge = around.some((step) => height[at] - height[at + step] > STEP_MM);
      pixels.fill(isEdge ? EDGE : shade[at], 4 * at, 4 * at + 3);
      pixels[4 * at + 3] = 255;
    }
  }
  return pixels;
}
