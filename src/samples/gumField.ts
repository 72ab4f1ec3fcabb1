import { type Jaw, positionOf } from '../core/base/tooth.ts';
import type { Vec3 } from '../core/base/Vec3.ts';
import type { PlacedCrown } from './PlacedCrown.ts';
import { makeRandom } from './random.ts';

/** Height of the gum over the occlusal plane as a smooth function of place, and where the scan ends. */
export interface GumField {
  /** Writes height, slope in x and slope in y at (x, y); mm and mm per mm. */
  read(x: number, y: number, out: Float64Array): void;
  /** Below 0 where the scan shows the surface; mm beyond its border otherwise. */
  beyond(x: number, y: number): number;
  readonly min: readonly [number, number];
  readonly max: readonly [number, number];
  readonly lowestMm: number;
}

interface Collar {
  readonly cx: number;
  readonly cy: number;
  readonly ux: number;
  readonly uy: number;
  readonly vx: number; // toward buccal
  readonly vy: number;
  readonly halfMm: number; // half the tooth's share of the arch
  readonly buccalMm: number;
  readonly lingualMm: number;
  readonly marginMm: number; // z of the gum margin at the middle of the tooth
  readonly mesialTipMm: number; // z of the papilla tips
  readonly distalTipMm: number;
  readonly last: boolean;
}

const STEP_MM = 0.4;
const BLEND_MM = 0.45; // distance over which one tooth's gum passes into its neighbour's

function collarOf(placed: PlacedCrown, upper: boolean, last: boolean): Collar {
  const { crown, tooth } = placed;
  const position = positionOf(tooth);
  const front = position <= 3;
  // gum margin above the cervix, part of the height
  const cover = front ? 0.06 : position <= 5 ? 0.12 : 0.16;
  const middle = [(crown.mesialMm[0] + crown.distalMm[0]) / 2, 0, crown.heightMm * cover] as const;
  const at = placed.toArch(middle);
  const flat = Math.hypot(placed.u[0], placed.u[1]);
  const [ux, uy] = [placed.u[0] / flat, placed.u[1] / flat];
  const wallAt = (v: number): number => {
    // distance from the axis to the wall at the margin, along ±v
    let [inside, outside] = [0, 9];
    for (let i = 0; i < 24; i++) {
      const r = (inside + outside) / 2;
      if (crown.distance(middle[0], v * r, middle[2]) > 0) outside = r;
      else inside = r;
    }
    return inside;
  };
  const marginMm = at[2];
  const tip = (p: Vec3) =>
    marginMm + (placed.toArch(p)[2] - marginMm) * (front ? (upper ? 0.62 : 0.7) : 0.69);
  return {
    cx: at[0],
    cy: at[1],
    ux,
    uy,
    vx: placed.v[0] / Math.hypot(placed.v[0], placed.v[1]),
    vy: placed.v[1] / Math.hypot(placed.v[0], placed.v[1]),
    halfMm: (crown.mesialMm[0] - crown.distalMm[0]) / 2,
    buccalMm: wallAt(1),
    lingualMm: wallAt(-1),
    marginMm,
    mesialTipMm: tip(crown.mesialMm),
    distalTipMm: last ? marginMm + 0.5 : tip(crown.distalMm),
    last,
  };
}

const OPEN_MM = 2.5; // from this distance on, neighbours have a bare ridge between them

/** Bare ridges where teeth stand apart; the papillae beside them are drawn down. */
function withRidges(placed: readonly PlacedCrown[], collars: readonly Collar[]): readonly Collar[] {
  const all = [...collars];
  for (let i = 1; i < placed.length; i++) {
    const ends = [placed[i - 1], placed[i]].map((p, k) => {
      const [m, d] = [p.mesialMm, p.distalMm];
      const other = placed[i - k].originMm;
      const toMesial = Math.hypot(m[0] - other[0], m[1] - other[1]);
      const mesial = toMesial < Math.hypot(d[0] - other[0], d[1] - other[1]);
      return { point: mesial ? m : d, mesial, collar: collars[i - 1 + k] };
    });
    const [a, b] = [ends[0].point, ends[1].point];
    const gapMm = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const [left, right] = [ends[0].collar, ends[1].collar];
    const alongMm = Math.min(
      ...[left, right].map((c) => Math.abs((b[0] - a[0]) * c.ux + (b[1] - a[1]) * c.uy)),
    );
    if (alongMm < OPEN_MM) continue; // crowded neighbours may be far apart across the arch
    const marginMm = (left.marginMm + right.marginMm) / 2;
    for (const [k, { mesial }] of ends.entries()) {
      const at = i - 1 + k;
      const tip = all[at].marginMm + 0.5;
      all[at] = { ...all[at], ...(mesial ? { mesialTipMm: tip } : { distalTipMm: tip }) };
    }
    const [ux, uy] = [(b[0] - a[0]) / gapMm, (b[1] - a[1]) / gapMm];
    const outward = -uy * (left.vx + right.vx) + ux * (left.vy + right.vy) > 0 ? 1 : -1;
    all.push({
      cx:
        (a[0] + b[0]) / 2 +
        (left.cx - placed[i - 1].stand.middleMm[0] + (right.cx - placed[i].stand.middleMm[0])) / 2,
      cy:
        (a[1] + b[1]) / 2 +
        (left.cy - placed[i - 1].stand.middleMm[1] + (right.cy - placed[i].stand.middleMm[1])) / 2,
      ux,
      uy,
      vx: -uy * outward,
      vy: ux * outward,
      halfMm: gapMm / 2 + 0.6,
      buccalMm: (left.buccalMm + right.buccalMm) * 0.4,
      lingualMm: (left.lingualMm + right.lingualMm) * 0.42,
      marginMm: marginMm + 0.1,
      mesialTipMm: marginMm + 0.5,
      distalTipMm: marginMm + 0.5,
      last: false,
    });
  }
  return all;
}

/**
 * The gum: a margin scalloped round every tooth, papillae rising to just below the contacts, the ridge
 * falling away to both sides, part of the palate in an upper arch. Written once on a grid, read back as a
 * smooth surface (quadratic B-spline).
 */
export function makeGumField(
  placed: readonly PlacedCrown[],
  jaw: Jaw,
  seed: number,
  gumMm: number,
): GumField {
  const collars = withRidges(
    placed,
    placed.map((p, k) => collarOf(p, jaw === 'upper', k === 0 || k === placed.length - 1)),
  );
  const margin = gumMm + 10;
  const min = [
    Math.min(...collars.map((c) => c.cx)) - margin,
    Math.min(...collars.map((c) => c.cy)) - margin,
  ] as const;
  const max = [
    Math.max(...collars.map((c) => c.cx)) + margin,
    Math.max(...collars.map((c) => c.cy)) + margin,
  ] as const;
  const nx = Math.ceil((max[0] - min[0]) / STEP_MM) + 3;
  const ny = Math.ceil((max[1] - min[1]) / STEP_MM) + 3;
  const heights = new Float64Array(nx * ny);
  const border = new Float64Array(nx * ny);
  const random = makeRandom(seed, `${jaw}-gum`);
  const waves = Array.from({ length: 7 }, () => ({
    kx: random.between(-1, 1) * 0.55,
    ky: random.between(-1, 1) * 0.55,
    phase: random.between(0, 6.3),
  }));
  const wave = (x: number, y: number) =>
    waves.reduce((s, w) => s + Math.sin(w.kx * x + w.ky * y + w.phase), 0) / 7;
  const upper = jaw === 'upper';
  let lowest = 0;
  const foldsFrom = Math.max(...collars.map((c) => c.cy)) - 22;
  for (let j = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++) {
      const x = min[0] + (i - 1) * STEP_MM;
      const y = min[1] + (j - 1) * STEP_MM;
      let edge = 1e3;
      let lingualNearest = 0;
      let nearest = 1e3;
      const near: [outMm: number, heightMm: number][] = [];
      for (const c of collars) {
        const dx = x - c.cx;
        const dy = y - c.cy;
        if (dx * dx + dy * dy > 900) continue;
        const u = dx * c.ux + dy * c.uy;
        const v = dx * c.vx + dy * c.vy;
        const depth = v > 0 ? c.buccalMm : c.lingualMm;
        const au = Math.abs(u);
        const du = Math.max(au - 0.55 * c.halfMm, 0);
        const dv = Math.max(Math.abs(v) - 0.5 * depth, 0) / (0.5 * depth);
        const overU = du / (c.last && u < 0 ? 0.42 * c.halfMm : 0.62 * c.halfMm);
        const rho = Math.hypot(overU, dv);
        const reach = rho > 1e-9 ? Math.hypot(du, dv * 0.5 * depth) : 0;
        const out = rho > 1 ? reach * (1 - 1 / rho) : 0; // mm outside the collar
        // toward the lingual side a crown narrows and so does its share
        const share = c.halfMm * (v < 0 ? 1 - 0.3 * Math.min((v / c.lingualMm) ** 2, 1) : 1);
        const xi = Math.min(au / share, 1.05);
        const tip = u > 0 ? c.mesialTipMm : c.distalTipMm;
        const scallop = (tip - c.marginMm) * xi ** 2.8 * Math.exp(-((out / 1.5) ** 2));
        // 1 on the buccal side, 0 on the lingual, mixed over the crest
        const b = Math.min(Math.max(0.5 + v / (2 * depth), 0), 1);
        const buccalFall =
          2.9 * (Math.hypot(out, 0.9) - 0.9) - 0.35 * (1 - xi * xi) * Math.exp(-(((out - 3) / 2) ** 2));
        const lingualFall = upper
          ? 10.5 * (1 - Math.exp(-(Math.hypot(out, 1.2) - 1.2) / 8.5))
          : 2.3 * (Math.hypot(out, 1.0) - 1.0);
        const g = c.marginMm + scallop - (b * buccalFall + (1 - b) * lingualFall);
        near.push([rho < 1 ? (rho - 1) * 0.5 * depth : out, g]);
        if (out < nearest) {
          nearest = out;
          lingualNearest = 1 - b;
        }
        const behind = c.last && u < -0.55 * c.halfMm;
        const lingualLimit = upper && !behind ? gumMm * 1.9 : gumMm * 0.65;
        const limit = b * gumMm * (behind ? 0.65 : 0.55) + (1 - b) * lingualLimit;
        edge = Math.min(edge, out - limit);
      }
      // the nearest collar decides; between two they blend
      const closest = near.reduce((m, [o]) => Math.min(m, o), 1e3);
      // farther out the folds between teeth level off
      const blend = BLEND_MM + 0.45 * Math.max(closest, 0);
      let height = -30;
      let weights = 0;
      for (const [o, g] of near) {
        const weight = Math.exp((closest - o) / blend);
        if (weight < 1e-4) continue;
        height = weights === 0 ? weight * g : height + weight * g;
        weights += weight;
      }
      if (weights > 0) height /= weights;
      // folds of the palate behind the front teeth
      const folds = upper
        ? lingualNearest * Math.min(nearest / 4, 1) * Math.min(Math.max((y - foldsFrom) / 8, 0), 1)
        : 0;
      const rugae = folds * 0.28 * Math.sin(1.5 * y + 6.6 * wave(x, y));
      const k = j * nx + i;
      heights[k] = height + 0.16 * wave(x * 1.7, y * 1.7) * Math.min(nearest / 2, 1) + rugae;
      border[k] = edge + 0.7 * wave(x, y);
      if (border[k] < 1 && heights[k] < lowest) lowest = heights[k];
    }
  }
  const read = (x: number, y: number, out: Float64Array) => {
    const gx = (x - min[0]) / STEP_MM + 1;
    const gy = (y - min[1]) / STEP_MM + 1;
    const i = Math.min(Math.max(Math.round(gx), 1), nx - 2);
    const j = Math.min(Math.max(Math.round(gy), 1), ny - 2);
    const [fx, fy] = [gx - i, gy - j];
    const [a0, a1, a2] = [0.5 * (0.5 - fx) ** 2, 0.75 - fx * fx, 0.5 * (0.5 + fx) ** 2];
    const [b0, b1, b2] = [0.5 * (0.5 - fy) ** 2, 0.75 - fy * fy, 0.5 * (0.5 + fy) ** 2];
    const o = (j - 1) * nx + i - 1;
    const h = heights;
    const r0 = a0 * h[o] + a1 * h[o + 1] + a2 * h[o + 2];
    const r1 = a0 * h[o + nx] + a1 * h[o + nx + 1] + a2 * h[o + nx + 2];
    const r2 = a0 * h[o + 2 * nx] + a1 * h[o + 2 * nx + 1] + a2 * h[o + 2 * nx + 2];
    out[0] = b0 * r0 + b1 * r1 + b2 * r2;
    const slope = (p: number) => (fx - 0.5) * h[p] - 2 * fx * h[p + 1] + (fx + 0.5) * h[p + 2];
    out[1] = (b0 * slope(o) + b1 * slope(o + nx) + b2 * slope(o + 2 * nx)) / STEP_MM;
    out[2] = ((fy - 0.5) * r0 - 2 * fy * r1 + (fy + 0.5) * r2) / STEP_MM;
  };
  const beyond = (x: number, y: number): number => {
    const gx = Math.min(Math.max((x - min[0]) / STEP_MM + 1, 0), nx - 1.001);
    const gy = Math.min(Math.max((y - min[1]) / STEP_MM + 1, 0), ny - 1.001);
    const [i, j] = [gx | 0, gy | 0];
    const [fx, fy] = [gx - i, gy - j];
    const o = j * nx + i;
    return (
      (border[o] * (1 - fx) + border[o + 1] * fx) * (1 - fy) +
      (border[o + nx] * (1 - fx) + border[o + nx + 1] * fx) * fy
    );
  };
  return { read, beyond, min, max, lowestMm: lowest };
}
