import type { LoadedScanOnPage } from '../LoadedScanOnPage.ts';
import { inSlices } from './displayParts.ts';

/**
 * Tints of crowns, sRGB 0–255, taken in turn along the arch. Each differs from the next in lightness by 25 L* or
 * more, which every kind of colour vision sees; hue only helps.
 */
export const CROWN_TINTS: readonly (readonly [number, number, number])[] = [
  [38, 94, 150],
  [240, 200, 96],
  [128, 66, 116],
  [142, 214, 184],
];

const STRENGTH = 0.6; // of a tint over the surface's own colour

/**
 * Whose crown each drawn vertex is: 0 gum, else 1 + index of the crown. A simplified vertex takes the crown of the
 * nearest face of the whole surface. Sliced, so that the page goes on.
 */
export async function crownOfVertices(
  { mesh, display, index }: Pick<LoadedScanOnPage, 'mesh' | 'display' | 'index'>,
  faceCrown: Uint8Array,
): Promise<Uint8Array> {
  const vertexCount = display.positions.length / 3;
  const crownOf = new Uint8Array(vertexCount);
  if (display === mesh) {
    await inSlices(faceCrown.length, (from, to) => {
      for (let f = from; f < to; f++) {
        if (faceCrown[f] === 0) continue;
        for (let k = 0; k < 3; k++) crownOf[mesh.indices[3 * f + k]] = faceCrown[f];
      }
    });
  } else {
    const { positions: p } = display;
    await inSlices(
      vertexCount,
      (from, to) => {
        for (let v = from; v < to; v++) {
          const hit = index.closestPoint([p[3 * v], p[3 * v + 1], p[3 * v + 2]]);
          crownOf[v] = hit ? faceCrown[hit.faceIndex] : 0;
        }
      },
      512,
    );
  }
  return crownOf;
}

/** The crowns as a colour of each drawn vertex: linear light, premultiplied, fourth number its strength (0: gum). */
export async function crownTint(
  scan: Pick<LoadedScanOnPage, 'mesh' | 'display' | 'index'>,
  faceCrown: Uint8Array,
): Promise<Uint8Array> {
  const crownOf = await crownOfVertices(scan, faceCrown);
  const vertexCount = crownOf.length;
  const tints = CROWN_TINTS.map((rgb) => rgb.map((c) => Math.round(255 * STRENGTH * (c / 255) ** 2.2)));
  const out = new Uint8Array(4 * vertexCount);
  for (let v = 0; v < vertexCount; v++) {
    if (crownOf[v] === 0) continue;
    out.set(tints[(crownOf[v] - 1) % tints.length], 4 * v);
    out[4 * v + 3] = Math.round(255 * STRENGTH);
  }
  return out;
}
