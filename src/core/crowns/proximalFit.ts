import type { LocalPatch } from './localPatch.ts';

/**
 * A crown's proximal wall near one place, as a height over (aside, up): out = c0 + c1·y + c2·h + c3·y² + c4·y·h + c5·h²,
 * y and h measured from the place. Millimetres, local axes.
 */
export interface WallFit {
  readonly c: readonly number[];
  readonly rmsMm: number; // of the wall's vertices about the fit
  readonly supportMm2: number; // weighted area of wall that carries the fit
  readonly seenRatio: number; // 0–1: share of the directions round the place in which wall was seen
  readonly filledRatio: number; // 0–1: how much of the fitted wall's own patch is really there, not web or gap
}

export const FACING = 0.25; // least cosine of a wall's normal to the mesiodistal direction
/** Width of the Gaussian that weighs the wall by its distance from the place. */
export const NARROW_MM = 0.85;
export const CLOSE_MM = 0.55;
export const WIDE_MM = 1.5;
const REACH = 2.6; // kernel widths
const SEEN = 1.75; // kernel widths
const SECTORS = 8;
const CORE_MM = 0.6;
/** A normal tells the slope this much less well than a position tells the place; (0.03 mm / 0.2)². */
const SLOPE_WEIGHT = 0.0225;
const LEAST_SUPPORT_MM2 = 0.25;
const TYPICAL_BEND = -0.15; // 1/mm, half the curvature of a wall of 3.3 mm radius
const FAINT = 0.02;
const FLATTEST = -0.01;
const SHARPEST = -1.2;

/**
 * Solves a symmetric system in place (Cholesky); size n, row-major. A pivot below 1e-12 is held there, so that what the
 * data leave open stays near 0; `solvePositive` of the arch line gives null instead.
 */
export function solveHeld(a: Float64Array, b: Float64Array, n: number): Float64Array {
  for (let j = 0; j < n; j++) {
    let d = a[j * n + j];
    for (let k = 0; k < j; k++) d -= a[j * n + k] ** 2;
    const root = Math.sqrt(Math.max(d, 1e-12));
    a[j * n + j] = root;
    for (let i = j + 1; i < n; i++) {
      let s = a[i * n + j];
      for (let k = 0; k < j; k++) s -= a[i * n + k] * a[j * n + k];
      a[i * n + j] = s / root;
    }
  }
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) b[i] -= a[i * n + k] * b[k];
    b[i] /= a[i * n + i];
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) b[i] -= a[k * n + i] * b[k];
    b[i] /= a[i * n + i];
  }
  return b;
}

/** The expansion carried to a place (dy, dh) away. */
export function carried(c: readonly number[], dy: number, dh: number): number[] {
  return [
    c[0] + c[1] * dy + c[2] * dh + c[3] * dy * dy + c[4] * dy * dh + c[5] * dh * dh,
    c[1] + 2 * c[3] * dy + c[4] * dh,
    c[2] + c[4] * dy + 2 * c[5] * dh,
    c[3],
    c[4],
    c[5],
  ];
}

/**
 * One reweighted least-squares step: fits the wall about (asideMm, upMm) to those vertices of the patch (all
 * facing outward by FACING) that lie within `scaleMm` of the wall as known so far; what stands out of it (web, papilla) counts less.
 * Null where too little wall is there.
 */
export function fitWall(
  patch: LocalPatch,
  known: readonly number[],
  asideMm: number,
  upMm: number,
  scaleMm: number,
  kernelMm: number = NARROW_MM,
): WallFit | null {
  const v = patch.values;
  const reach2 = (REACH * kernelMm) ** 2;
  const seen2 = (SEEN * kernelMm) ** 2;
  const ata = new Float64Array(36);
  const atb = new Float64Array(6);
  const row = new Float64Array(6).fill(1, 0, 1);
  let squares = 0;
  let support = 0;
  let sectors = 0;
  let core = 0;
  for (let o = 0; o < v.length; o += 7) {
    const facing = v[o + 3];
    const y = v[o + 1] - asideMm;
    const h = v[o + 2] - upMm;
    const d2 = y * y + h * h;
    if (d2 > reach2) continue;
    const wall =
      known[0] + known[1] * y + known[2] * h + known[3] * y * y + known[4] * y * h + known[5] * h * h;
    const r = (v[o] - wall) * facing;
    const t = r / (r > 0 ? scaleMm : 1.3 * scaleMm);
    if (t >= 1 || t <= -1) continue;
    const s = 1 - t * t;
    const w = v[o + 6] * facing * facing * Math.exp(-d2 / (2 * kernelMm * kernelMm)) * s * s;
    const yy = y * y;
    const yh = y * h;
    const hh = h * h;
    row[1] = y;
    row[2] = h;
    row[3] = yy;
    row[4] = yh;
    row[5] = hh;
    for (let i = 0; i < 6; i++) {
      const wi = w * row[i];
      atb[i] += wi * v[o];
      for (let j = 0; j <= i; j++) ata[6 * i + j] += wi * row[j];
    }
    const ws = w * SLOPE_WEIGHT * facing * facing;
    addSlope(ata, atb, ASIDE_TERMS, 2 * y, h, -v[o + 4] / facing, ws);
    addSlope(ata, atb, UP_TERMS, y, 2 * h, -v[o + 5] / facing, ws);
    squares += w * r * r;
    support += w;
    if (d2 < seen2) sectors |= 1 << Math.floor((Math.atan2(h, y) / Math.PI + 1) * (SECTORS / 2) * 0.99999);
    if (d2 < CORE_MM * CORE_MM) core += v[o + 6] * facing;
  }
  if (support < LEAST_SUPPORT_MM2) return null;
  // A faint belief in a middling crown keeps the fit determinate where little is seen.
  const faint = FAINT * support;
  ata[21] += faint;
  atb[3] += faint * TYPICAL_BEND;
  ata[28] += faint;
  ata[35] += faint;
  atb[5] += faint * TYPICAL_BEND;
  const c = [...solveHeld(ata, atb, 6)];
  c[3] = Math.min(FLATTEST, Math.max(SHARPEST, c[3]));
  c[5] = Math.min(FLATTEST, Math.max(SHARPEST, c[5]));
  let seen = 0;
  for (let k = 0; k < SECTORS; k++) seen += (sectors >> k) & 1;
  return {
    c,
    rmsMm: Math.sqrt(squares / support),
    supportMm2: support,
    seenRatio: seen / SECTORS,
    filledRatio: Math.min(1, core / (Math.PI * CORE_MM * CORE_MM)),
  };
}

/** Unknowns of the two slopes, in rising order. */
const ASIDE_TERMS = [1, 3, 4] as const;
const UP_TERMS = [2, 4, 5] as const;

/** Adds one weighted slope equation, unknown + a · unknown + b · unknown = value, to the lower triangle. */
function addSlope(
  ata: Float64Array,
  atb: Float64Array,
  [i, j, k]: readonly [number, number, number],
  a: number,
  b: number,
  value: number,
  w: number,
): void {
  atb[i] += w * value;
  atb[j] += w * a * value;
  atb[k] += w * b * value;
  ata[7 * i] += w;
  ata[6 * j + i] += w * a;
  ata[7 * j] += w * a * a;
  ata[6 * k + i] += w * b;
  ata[6 * k + j] += w * a * b;
  ata[7 * k] += w * b * b;
}
