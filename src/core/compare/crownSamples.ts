import type { Vec3 } from '../base/Vec3.ts';
import type { ScanMesh } from '../scan/ScanMesh.ts';

/** Points spread evenly over a piece of surface, with their normals. */
export interface SurfaceSamples {
  readonly count: number;
  readonly values: Float64Array; // 7 per point: place (mm), normal, weight
  readonly cellMm: number; // side of the cells one point was taken from
}

/** Inner vertices of each piece of a labelled mesh: those none of whose faces, nor of their neighbours', belongs elsewhere. */
export interface LabelledVertices {
  readonly mesh: ScanMesh;
  readonly vertices: readonly Uint32Array[]; // per label
}

const RINGS = 2;
const BORDER = 255;
const UNUSED = 254;

/**
 * Sorts the vertices of a mesh by the label of their faces; vertices within two rings of another label's faces
 * are left out, as a border is only as good as that.
 *
 * Shape:    faceLabel — per face, 0 … labelCount − 1.
 */
export function labelledVertices(
  mesh: ScanMesh,
  faceLabel: ArrayLike<number>,
  labelCount: number,
): LabelledVertices {
  const { indices } = mesh;
  const label = new Uint8Array(mesh.positions.length / 3).fill(UNUSED);
  for (let f = 0; f < faceLabel.length; f++)
    for (let k = 0; k < 3; k++) {
      const v = indices[3 * f + k];
      if (label[v] === UNUSED) label[v] = faceLabel[f];
      else if (label[v] !== faceLabel[f]) label[v] = BORDER;
    }
  for (let ring = 1; ring < RINGS; ring++) {
    const before = label.slice();
    for (let i = 0; i < indices.length; i += 3) {
      const [a, b, c] = [indices[i], indices[i + 1], indices[i + 2]];
      if (before[a] === BORDER || before[b] === BORDER || before[c] === BORDER) {
        label[a] = BORDER;
        label[b] = BORDER;
        label[c] = BORDER;
      }
    }
  }
  const counts = new Uint32Array(256);
  for (const own of label) counts[own]++;
  const vertices = Array.from({ length: labelCount }, (_, l) => new Uint32Array(counts[l]));
  const filled = new Uint32Array(labelCount);
  for (let v = 0; v < label.length; v++) {
    const own = label[v];
    if (own < labelCount) vertices[own][filled[own]++] = v;
  }
  return { mesh, vertices };
}

/**
 * One vertex from each cell of a grid, the one nearest to the cell's middle: evenly spread whatever the density of
 * triangles, and the same whatever their order.
 *
 * Shape:    weigh — the weight of a point from its place and normal; 0 leaves it out.
 */
export function spreadSamples(
  mesh: ScanMesh,
  vertices: Uint32Array,
  cellMm: number,
  weigh: (pointMm: Vec3, normal: Vec3) => number = () => 1,
): SurfaceSamples {
  const { positions, normals } = mesh;
  const best = new Map<number, { vertex: number; off: number }>();
  for (const v of vertices) {
    let off = 0;
    let key = 0;
    for (let k = 0; k < 3; k++) {
      const at = positions[3 * v + k] / cellMm;
      const cell = Math.floor(at);
      off += (at - cell - 0.5) ** 2;
      key = key * 65536 + (cell & 65535);
    }
    const known = best.get(key);
    if (!known || off < known.off) best.set(key, { vertex: v, off });
  }
  const chosen = [...best.values()].map(({ vertex }) => vertex).sort((a, b) => a - b);
  const values = new Float64Array(7 * chosen.length);
  let count = 0;
  for (const v of chosen) {
    const point: Vec3 = [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]];
    const normal: Vec3 = [normals[3 * v], normals[3 * v + 1], normals[3 * v + 2]];
    const weight = weigh(point, normal);
    if (weight <= 0) continue;
    values.set([...point, ...normal, weight], 7 * count++);
  }
  return { count, values: values.slice(0, 7 * count), cellMm };
}
