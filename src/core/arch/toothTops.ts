import { cross, dot, normalize, type Vec3 } from '../base/Vec3.ts';
import type { SurfaceCells } from './surfaceCells.ts';

/** The plane resting on the highest parts of the arch, in the principal axes of the cells. */
export interface TopPlane {
  readonly up: Vec3;
  readonly heightMm: number; // of the plane above the centroid, along up
  readonly tiltChangeRad: number; // last step of the iteration
  readonly rmsMm: number; // of the sector tops that count
  readonly coveredSectors: number; // of SECTORS, those with a top near the plane
}

const SECTORS = 36;
const TOP_AREA_MM2 = 2;
const SCALES_MM = [8, 6, 4.5, 3.5, 2.5, 2.5, 2.5, 2.5];
const NEAR_PLANE_MM = 3;

/** Two unit vectors that make a right-handed set with `up`. */
export function planeAxes(up: Vec3): [Vec3, Vec3] {
  const k = Math.abs(up[0]) < 0.7 ? ([1, 0, 0] as const) : ([0, 1, 0] as const);
  const a = normalize(cross(k, up));
  return [a, cross(up, a)];
}

/** Mean of the highest 2 mm² in each of 36 sectors round the middle of the arch: by `a`, by `b`, height. */
export function sectorTops(cells: SurfaceCells, up: Vec3, [a, b] = planeAxes(up)): number[][] {
  const c = cells.cells;
  const n = cells.count;
  const u = new Float64Array(n);
  const v = new Float64Array(n);
  const h = new Float64Array(n);
  let [u0, u1, v0, v1] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < n; i++) {
    const o = i * 7;
    const x = c[o];
    const y = c[o + 1];
    const z = c[o + 2];
    u[i] = x * a[0] + y * a[1] + z * a[2];
    v[i] = x * b[0] + y * b[1] + z * b[2];
    h[i] = x * up[0] + y * up[1] + z * up[2];
    if (u[i] < u0) u0 = u[i];
    if (u[i] > u1) u1 = u[i];
    if (v[i] < v0) v0 = v[i];
    if (v[i] > v1) v1 = v[i];
  }
  const um = (u0 + u1) / 2;
  const vm = (v0 + v1) / 2;
  const members: number[][] = Array.from({ length: SECTORS }, () => []);
  for (let i = 0; i < n; i++) {
    const turn = Math.atan2(v[i] - vm, u[i] - um) / (2 * Math.PI) + 0.5;
    members[Math.min(SECTORS - 1, Math.floor(turn * SECTORS))].push(i);
  }
  const tops: number[][] = [];
  const taken = new Uint8Array(n);
  for (const sector of members) {
    let whole = 0;
    for (let s = 0; s < sector.length; s++) whole += c[sector[s] * 7 + 6];
    if (whole < 0.999 * TOP_AREA_MM2) continue;
    let w = 0;
    const sum = [0, 0, 0];
    for (let turn = 0; turn < sector.length; turn++) {
      // the highest of those left; the few that are needed come sooner so than by sorting all
      let best = -1;
      for (let s = 0; s < sector.length; s++)
        if (!taken[sector[s]] && (best < 0 || h[sector[s]] > h[best])) best = sector[s];
      taken[best] = 1;
      const i = best;
      const area = c[i * 7 + 6];
      w += area;
      sum[0] += area * u[i];
      sum[1] += area * v[i];
      sum[2] += area * h[i];
      if (w >= TOP_AREA_MM2) break;
    }
    if (w >= TOP_AREA_MM2) tops.push([sum[0] / w, sum[1] / w, sum[2] / w]);
  }
  return tops;
}

/** Weight of a top that stands `aboveMm` over a fitted surface: tops far below it count for little. */
export function topWeight(aboveMm: number, scaleMm: number): number {
  const t = aboveMm / scaleMm;
  return aboveMm > 0 ? 1 / (1 + 0.25 * t * t) : 1 / (1 + t * t) ** 2;
}

/** One weighted step of the plane h = g·(u, v) + k. */
function planeStep(tops: number[][], plane: number[], scaleMm: number): number[] | null {
  const m = new Float64Array(9);
  for (const [u, v, h] of tops) {
    const w = topWeight(h - (plane[0] * u + plane[1] * v + plane[2]), scaleMm);
    m[0] += w * u * u;
    m[1] += w * u * v;
    m[2] += w * u;
    m[3] += w * v * v;
    m[4] += w * v;
    m[5] += w;
    m[6] += w * u * h;
    m[7] += w * v * h;
    m[8] += w * h;
  }
  const det =
    m[0] * (m[3] * m[5] - m[4] * m[4]) -
    m[1] * (m[1] * m[5] - m[4] * m[2]) +
    m[2] * (m[1] * m[4] - m[3] * m[2]);
  if (!(Math.abs(det) > 1e-9)) return null;
  return [
    (m[6] * (m[3] * m[5] - m[4] * m[4]) -
      m[1] * (m[7] * m[5] - m[4] * m[8]) +
      m[2] * (m[7] * m[4] - m[3] * m[8])) /
      det,
    (m[0] * (m[7] * m[5] - m[4] * m[8]) -
      m[6] * (m[1] * m[5] - m[4] * m[2]) +
      m[2] * (m[1] * m[8] - m[7] * m[2])) /
      det,
    (m[0] * (m[3] * m[8] - m[7] * m[4]) -
      m[1] * (m[1] * m[8] - m[7] * m[2]) +
      m[6] * (m[1] * m[4] - m[3] * m[2])) /
      det,
  ];
}

/** Tilts `start` until the plane rests on the tooth tops; null where there is nothing to rest on. */
export function topPlane(cells: SurfaceCells, start: Vec3): TopPlane | null {
  let up = start;
  let heightMm = 0;
  let change = 0;
  let rms = 0;
  let covered = 0;
  for (const scaleMm of SCALES_MM) {
    const tops = sectorTops(cells, up);
    if (tops.length < 6) return null;
    const heights = tops.map((t) => t[2]).sort((x, y) => y - x);
    let plane: number[] | null = [0, 0, heights[Math.floor(heights.length / 4)]];
    for (let step = 0; step < 4; step++) {
      plane = planeStep(tops, plane, scaleMm);
      if (!plane) return null;
    }
    const [a, b] = planeAxes(up);
    const g = plane;
    const next = normalize([
      up[0] - g[0] * a[0] - g[1] * b[0],
      up[1] - g[0] * a[1] - g[1] * b[1],
      up[2] - g[0] * a[2] - g[1] * b[2],
    ]);
    change = Math.acos(Math.min(1, dot(up, next)));
    heightMm = g[2] / Math.hypot(1, g[0], g[1]);
    const near = tops
      .map(([u, v, h]) => h - (g[0] * u + g[1] * v + g[2]))
      .filter((r) => Math.abs(r) < NEAR_PLANE_MM);
    covered = near.length;
    rms = Math.sqrt(near.reduce((s, r) => s + r * r, 0) / Math.max(1, near.length));
    up = next;
  }
  return { up, heightMm, tiltChangeRad: change, rmsMm: rms, coveredSectors: covered };
}
