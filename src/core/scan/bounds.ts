import type { ScanShape } from './ScanMesh.ts';

/** Axis-aligned box of positions. */
export function bounds(positions: Float32Array): Pick<ScanShape, 'boundsMinMm' | 'boundsMaxMm'> {
  let [minX, minY, minZ] = [Infinity, Infinity, Infinity];
  let [maxX, maxY, maxZ] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i];
    const y = positions[i + 1];
    const z = positions[i + 2];
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
    if (z < minZ) minZ = z;
    if (z > maxZ) maxZ = z;
  }
  return { boundsMinMm: [minX, minY, minZ], boundsMaxMm: [maxX, maxY, maxZ] };
}
