import { dot, type Vec3 } from '../../core/base/Vec3.ts';

/** A cutting plane: through `pointMm`, the side `normal` points to is taken away. Scan frame, `normal` unit. */
export interface CutPlane {
  readonly pointMm: Vec3;
  readonly normal: Vec3;
}

/**
 * Outline of a cut: the segments in which the faces near the plane's point cross the plane, 6 numbers each.
 *
 * Units:    mm in, mm out, scan frame; faces further than `radiusMm` from the point are left out.
 * Accuracy: each end is the linear crossing of a mesh edge — tests/app/scene/sectionOutline.test.ts.
 */
export function sectionOutline(
  mesh: { readonly positions: Float32Array; readonly indices: Uint32Array },
  plane: CutPlane,
  radiusMm: number,
): Float32Array {
  const { positions, indices } = mesh;
  const [nx, ny, nz] = plane.normal;
  const [px, py, pz] = plane.pointMm;
  const level = dot(plane.normal, plane.pointMm);
  const heights = new Float32Array(positions.length / 3);
  for (let v = 0, i = 0; v < heights.length; v++, i += 3) {
    heights[v] = nx * positions[i] + ny * positions[i + 1] + nz * positions[i + 2] - level;
  }
  const limit = radiusMm * radiusMm;
  const segments: number[] = [];
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f];
    const b = indices[f + 1];
    const c = indices[f + 2];
    const above = (heights[a] >= 0 ? 1 : 0) + (heights[b] >= 0 ? 1 : 0) + (heights[c] >= 0 ? 1 : 0);
    if (above === 0 || above === 3) continue;
    const dx = positions[3 * a] - px;
    const dy = positions[3 * a + 1] - py;
    const dz = positions[3 * a + 2] - pz;
    if (dx * dx + dy * dy + dz * dz > limit) continue;
    cross(a, b);
    cross(b, c);
    cross(c, a);
  }
  return Float32Array.from(segments);

  function cross(from: number, to: number): void {
    if (heights[from] >= 0 === heights[to] >= 0) return;
    const ratio = heights[from] / (heights[from] - heights[to]);
    for (let k = 0; k < 3; k++) {
      const start = positions[3 * from + k];
      segments.push(start + (positions[3 * to + k] - start) * ratio);
    }
  }
}
