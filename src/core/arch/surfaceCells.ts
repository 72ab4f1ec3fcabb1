import type { Vec3 } from '../base/Vec3.ts';
import type { ScanMesh } from '../scan/ScanMesh.ts';
import { eigenSymmetric3 } from './eigenSymmetric3.ts';

/** A surface boiled down to area-weighted cells in its own principal axes, so that pose plays no part. */
export interface SurfaceCells {
  readonly areaMm2: number;
  readonly centreMm: Vec3; // area centroid, scan frame
  readonly axes: readonly [Vec3, Vec3, Vec3]; // right-handed, scan frame, widest spread first
  readonly spreadMm: Vec3; // standard deviation along each axis
  readonly areaVector: Vec3; // sum of face normals times area over the whole area, in the principal axes
  readonly count: number;
  readonly cells: Float64Array; // 7 per cell: centre x y z (mm), normal x y z (not unit), area (mm²); principal axes
}

const CELL_MM = 0.8;
const LONGEST_SIDE_CELLS = 160;

interface Moments {
  readonly area: number;
  readonly centre: Vec3;
  readonly covariance: readonly number[]; // xx xy xz yy yz zz
  readonly areaVector: Vec3;
}

/** Area moments over all faces; summed about the first vertex to keep digits when the scan lies far away. */
function areaMoments(mesh: ScanMesh): Moments {
  const { positions: p, indices } = mesh;
  const [ox, oy, oz] = [p[0], p[1], p[2]];
  let area = 0;
  const s = new Float64Array(3);
  const n = new Float64Array(3);
  const m = new Float64Array(6);
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f] * 3;
    const b = indices[f + 1] * 3;
    const c = indices[f + 2] * 3;
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const vz = p[c + 2] - p[a + 2];
    const nx = (uy * vz - uz * vy) / 2;
    const ny = (uz * vx - ux * vz) / 2;
    const nz = (ux * vy - uy * vx) / 2;
    const w = Math.sqrt(nx * nx + ny * ny + nz * nz);
    const x = (p[a] + p[b] + p[c]) / 3 - ox;
    const y = (p[a + 1] + p[b + 1] + p[c + 1]) / 3 - oy;
    const z = (p[a + 2] + p[b + 2] + p[c + 2]) / 3 - oz;
    area += w;
    n[0] += nx;
    n[1] += ny;
    n[2] += nz;
    s[0] += w * x;
    s[1] += w * y;
    s[2] += w * z;
    m[0] += w * x * x;
    m[1] += w * x * y;
    m[2] += w * x * z;
    m[3] += w * y * y;
    m[4] += w * y * z;
    m[5] += w * z * z;
  }
  const total = Math.max(area, 1e-30);
  const [x, y, z] = [s[0] / total, s[1] / total, s[2] / total];
  return {
    area,
    centre: [ox + x, oy + y, oz + z],
    covariance: [
      m[0] / total - x * x,
      m[1] / total - x * y,
      m[2] / total - x * z,
      m[3] / total - y * y,
      m[4] / total - y * z,
      m[5] / total - z * z,
    ],
    areaVector: [n[0] / total, n[1] / total, n[2] / total],
  };
}

/** Axes whose signs follow the surface (skewness positive), so that a turned scan gets the same cells. */
function principalAxes(mesh: ScanMesh, moments: Moments): { axes: [Vec3, Vec3, Vec3]; spreadMm: Vec3 } {
  const { values, vectors } = eigenSymmetric3(moments.covariance);
  const { positions: p } = mesh;
  const skew = [0, 0];
  for (let i = 0; i < p.length; i += 3) {
    const x = p[i] - moments.centre[0];
    const y = p[i + 1] - moments.centre[1];
    const z = p[i + 2] - moments.centre[2];
    for (let k = 0; k < 2; k++) {
      const d = x * vectors[k][0] + y * vectors[k][1] + z * vectors[k][2];
      skew[k] += d * d * d;
    }
  }
  const flip = (v: Vec3, s: number): Vec3 => (s < 0 ? [-v[0], -v[1], -v[2]] : v);
  const a = flip(vectors[0], skew[0]);
  const b = flip(vectors[1], skew[1]);
  const c: Vec3 = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  const sd = (v: number): number => Math.sqrt(Math.max(v, 0));
  return { axes: [a, b, c], spreadMm: [sd(values[0]), sd(values[1]), sd(values[2])] };
}

/**
 * Gathers a mesh into cells of about 0.8 mm along its principal axes.
 *
 * Units:    mm in, mm and mm² out.
 * Accuracy: the same surface in another pose or face order gives the same cells but for rounding at cell
 *           borders — tests/core/arch/findArchFrame.test.ts.
 */
export function surfaceCells(mesh: ScanMesh): SurfaceCells {
  const moments = areaMoments(mesh);
  const { axes, spreadMm } = principalAxes(mesh, moments);
  const { positions: p, indices } = mesh;
  const vertexCount = p.length / 3;
  const q = new Float32Array(p.length);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let v = 0; v < vertexCount; v++) {
    const x = p[v * 3] - moments.centre[0];
    const y = p[v * 3 + 1] - moments.centre[1];
    const z = p[v * 3 + 2] - moments.centre[2];
    for (let k = 0; k < 3; k++) {
      const d = x * axes[k][0] + y * axes[k][1] + z * axes[k][2];
      q[v * 3 + k] = d;
      if (d < low[k]) low[k] = d;
      if (d > high[k]) high[k] = d;
    }
  }
  const side = Math.max(CELL_MM, Math.max(...high.map((h, k) => h - low[k])) / LONGEST_SIDE_CELLS);
  const [nx, ny, nz] = low.map((l, k) => Math.floor((high[k] - l) / side) + 1);
  const slot = new Int32Array(nx * ny * nz);
  let cells = new Float64Array(7 * 4096);
  let count = 0;
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f] * 3;
    const b = indices[f + 1] * 3;
    const c = indices[f + 2] * 3;
    const ux = q[b] - q[a];
    const uy = q[b + 1] - q[a + 1];
    const uz = q[b + 2] - q[a + 2];
    const vx = q[c] - q[a];
    const vy = q[c + 1] - q[a + 1];
    const vz = q[c + 2] - q[a + 2];
    const mx = (uy * vz - uz * vy) / 2;
    const my = (uz * vx - ux * vz) / 2;
    const mz = (ux * vy - uy * vx) / 2;
    const w = Math.sqrt(mx * mx + my * my + mz * mz);
    const x = (q[a] + q[b] + q[c]) / 3;
    const y = (q[a + 1] + q[b + 1] + q[c + 1]) / 3;
    const z = (q[a + 2] + q[b + 2] + q[c + 2]) / 3;
    const key =
      Math.floor((x - low[0]) / side) +
      nx * (Math.floor((y - low[1]) / side) + ny * Math.floor((z - low[2]) / side));
    let at = slot[key] - 1;
    if (at < 0) {
      at = count++;
      slot[key] = count;
      if (cells.length < count * 7) {
        const grown = new Float64Array(cells.length * 2);
        grown.set(cells);
        cells = grown;
      }
    }
    const o = at * 7;
    cells[o] += w * x;
    cells[o + 1] += w * y;
    cells[o + 2] += w * z;
    cells[o + 3] += mx;
    cells[o + 4] += my;
    cells[o + 5] += mz;
    cells[o + 6] += w;
  }
  for (let o = 0; o < count * 7; o += 7) {
    const w = Math.max(cells[o + 6], 1e-30);
    for (let k = 0; k < 6; k++) cells[o + k] /= w;
  }
  const v = moments.areaVector;
  const turned = axes.map((e) => v[0] * e[0] + v[1] * e[1] + v[2] * e[2]);
  return {
    areaMm2: moments.area,
    centreMm: moments.centre,
    axes,
    spreadMm,
    areaVector: [turned[0], turned[1], turned[2]],
    count,
    cells: cells.subarray(0, count * 7),
  };
}
