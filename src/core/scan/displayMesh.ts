import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import type { ScanMesh } from './ScanMesh.ts';

/** A mesh with fewer faces for drawing only; picking and measuring use the whole mesh. */
export interface DisplayMesh {
  readonly positions: Float32Array; // 3 per vertex, mm; all are vertices of the scan
  readonly normals: Float32Array; // 3 per vertex, of the whole mesh
  readonly indices: Uint32Array; // 3 per face
  readonly colors: Uint8Array | null; // 3 per vertex
  readonly errorMm: number; // greatest distance from the scan, as the simplifier estimates it
}

/** A mesh of more triangles is drawn simplified. */
const DRAWN_WHOLE_TRIANGLES = 150_000;

/** Triangles of a simplified mesh. */
const DISPLAY_TRIANGLES = 100_000;

/** The simplifier stops before it leaves the scan by more. */
export const DISPLAY_ERROR_LIMIT_MM = 0.1;

/**
 * A simplified mesh for drawing, or null where the mesh is small enough to be drawn whole.
 *
 * Units:    mm; `errorMm` ≤ DISPLAY_ERROR_LIMIT_MM, so the target count may not be reached.
 * Accuracy: every drawn vertex is a scan vertex; the reported error holds on a sphere within a factor of 2 —
 *           tests/core/scan/displayMesh.test.ts.
 */
export async function displayMesh(
  mesh: ScanMesh,
  limits: { readonly drawnWhole: number; readonly target: number } = {
    drawnWhole: DRAWN_WHOLE_TRIANGLES,
    target: DISPLAY_TRIANGLES,
  },
): Promise<DisplayMesh | null> {
  if (mesh.indices.length / 3 <= limits.drawnWhole) return null;
  await MeshoptSimplifier.ready;
  const [indices, errorMm] = MeshoptSimplifier.simplify(
    mesh.indices,
    mesh.positions,
    3,
    limits.target * 3,
    DISPLAY_ERROR_LIMIT_MM,
    ['ErrorAbsolute'],
  );
  const [remap, count] = MeshoptSimplifier.compactMesh(indices); // renumbers `indices` in place
  const positions = new Float32Array(count * 3);
  const normals = new Float32Array(count * 3);
  const colors = mesh.colors && new Uint8Array(count * 3);
  for (let vertex = 0; vertex < remap.length; vertex++) {
    const target = remap[vertex];
    if (target === 0xffffffff) continue;
    for (let k = 0; k < 3; k++) {
      positions[3 * target + k] = mesh.positions[3 * vertex + k];
      normals[3 * target + k] = mesh.normals[3 * vertex + k];
      if (colors) colors[3 * target + k] = mesh.colors![3 * vertex + k];
    }
  }
  return { positions, normals, indices, colors, errorMm };
}
