import type { LoadedScanOnPage } from '../LoadedScanOnPage.ts';
import { inSlices } from '../scene/displayParts.ts';
import { scaleLinear } from './deviationScale.ts';

const STRENGTH = 0.92; // of the colour over the surface's own
const SHADES = 256;

type Surface = Pick<LoadedScanOnPage, 'mesh' | 'display' | 'index'>;

/**
 * Which vertex of the whole surface each drawn vertex is: every drawn one is a vertex of the scan. Sliced, so that
 * the page goes on; null where they are the same.
 */
export async function scanVertices({ mesh, display, index }: Surface): Promise<Uint32Array | null> {
  if (display === mesh) return null;
  const { positions: p } = display;
  const { indices, positions } = mesh;
  const vertexOf = new Uint32Array(p.length / 3);
  await inSlices(
    vertexOf.length,
    (from, to) => {
      for (let v = from; v < to; v++) {
        const [x, y, z] = [p[3 * v], p[3 * v + 1], p[3 * v + 2]];
        const hit = index.closestPoint([x, y, z]);
        if (!hit) continue;
        let least = Infinity;
        for (let k = 0; k < 3; k++) {
          const own = indices[3 * hit.faceIndex + k];
          const off = Math.hypot(
            positions[3 * own] - x,
            positions[3 * own + 1] - y,
            positions[3 * own + 2] - z,
          );
          if (off < least) [least, vertexOf[v]] = [off, own];
        }
      }
    },
    512,
  );
  return vertexOf;
}

/** Distances as a colour of each drawn vertex: linear light, premultiplied, fourth number its strength; none where unknown. */
export async function deviationTint(
  distancesMm: Float32Array,
  vertexOf: Uint32Array | null,
  reachMm: number,
): Promise<Uint8Array> {
  const shades = Array.from({ length: SHADES }, (_, i) =>
    scaleLinear((2 * i) / (SHADES - 1) - 1).map((c) => Math.round(255 * STRENGTH * c)),
  );
  const count = vertexOf?.length ?? distancesMm.length;
  const out = new Uint8Array(4 * count);
  await inSlices(count, (from, to) => {
    for (let v = from; v < to; v++) {
      const mm = distancesMm[vertexOf ? vertexOf[v] : v];
      if (Number.isNaN(mm)) continue;
      const share = Math.max(-1, Math.min(1, mm / reachMm));
      out.set(shades[Math.round(((share + 1) / 2) * (SHADES - 1))], 4 * v);
      out[4 * v + 3] = Math.round(255 * STRENGTH);
    }
  });
  return out;
}
