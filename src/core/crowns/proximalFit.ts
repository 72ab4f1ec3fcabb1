import type { LocalPatch } from './localPatch.ts';

/**
 * A crown's proximal wall near one place, as a height over (aside, up): out = c0 + c1·y + c2·h + c3·y² + c4·y·h + c5·h²,
 * of third order + c6·h³ + c7·y²·h, y and h measured from the place. Millimetres, local axes.
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
/**
 * Weights that hold the third-order terms down, where the wall is seen whole and where none of it is: under a web they
 * would be guessed from the flanks. A belief in their means over 56 real walls (h³ −0.05, y²·h −0.07 per mm²) instead
 * makes widths of generated arches a little truer (RMS 0.064 against 0.066 mm), but those of a real arch webbed
 * throughout worse (0.31 against 0.28 mm from its labels).
 */
const THIRD_SEEN = 0.03;
const THIRD_HIDDEN = 0.2;
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
  const [h3, yyh] = [c[6] ?? 0, c[7] ?? 0];
  const third = h3 * dh * dh * dh + yyh * dy * dy * dh;
  return [
    c[0] + c[1] * dy + c[2] * dh + c[3] * dy * dy + c[4] * dy * dh + c[5] * dh * dh + third,
    c[1] + 2 * c[3] * dy + c[4] * dh + 2 * yyh * dy * dh,
    c[2] + c[4] * dy + 2 * c[5] * dh + 3 * h3 * dh * dh + yyh * dy * dy,
    c[3] + yyh * dh,
    c[4] + 2 * yyh * dy,
    c[5] + 3 * h3 * dh,
    ...c.slice(6),
  ];
}

/**
 * One reweighted least-squares step: fits the wall about (asideMm, upMm) to those vertices of the patch (all
 * facing outward by FACING) that lie within `scaleMm` of the wall as known so far; what stands out of it (web, papilla) counts less.
 * Null where too little wall is there. Of second order a wall that bends unevenly is cut short at its outermost place
 * (generated canines 0.04 mm a side); of third it is not.
 */
export function fitWall(
  patch: LocalPatch,
  known: readonly number[],
  asideMm: number,
  upMm: number,
  scaleMm: number,
  kernelMm: number = NARROW_MM,
  order: 2 | 3 = 2,
): WallFit | null {
  const terms = order === 3 ? 8 : 6;
  const v = patch.values;
  const reach2 = (REACH * kernelMm) ** 2;
  const seen2 = (SEEN * kernelMm) ** 2;
  const ata = new Float64Array(terms * terms);
  const atb = new Float64Array(terms);
  const row = new Float64Array(8).fill(1, 0, 1);
  const slope = new Float64Array(8);
  const [h3, yyh] = [known[6] ?? 0, known[7] ?? 0];
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
    const yy = y * y;
    const yh = y * h;
    const hh = h * h;
    const third = h3 * hh * h + yyh * yy * h;
    const wall =
      known[0] + known[1] * y + known[2] * h + known[3] * yy + known[4] * yh + known[5] * hh + third;
    const r = (v[o] - wall) * facing;
    const t = r / (r > 0 ? scaleMm : 1.3 * scaleMm);
    if (t >= 1 || t <= -1) continue;
    const s = 1 - t * t;
    const w = v[o + 6] * facing * facing * Math.exp(-d2 / (2 * kernelMm * kernelMm)) * s * s;
    row[1] = y;
    row[2] = h;
    row[3] = yy;
    row[4] = yh;
    row[5] = hh;
    row[6] = hh * h;
    row[7] = yy * h;
    addEquation(ata, atb, row, ALL_TERMS[order], v[o], w);
    const ws = w * SLOPE_WEIGHT * facing * facing;
    [slope[1], slope[3], slope[4], slope[7]] = [1, 2 * y, h, 2 * yh];
    addEquation(ata, atb, slope, ASIDE_TERMS[order], -v[o + 4] / facing, ws);
    [slope[2], slope[4], slope[5], slope[6], slope[7]] = [1, y, 2 * h, 3 * hh, yy];
    addEquation(ata, atb, slope, UP_TERMS[order], -v[o + 5] / facing, ws);
    squares += w * r * r;
    support += w;
    if (d2 < seen2) sectors |= 1 << Math.floor((Math.atan2(h, y) / Math.PI + 1) * (SECTORS / 2) * 0.99999);
    if (d2 < CORE_MM * CORE_MM) core += v[o + 6] * facing;
  }
  if (support < LEAST_SUPPORT_MM2) return null;
  // A faint belief in a middling crown keeps the fit determinate where little is seen.
  const believe = (term: number, value: number, weight: number): void => {
    ata[(terms + 1) * term] += weight * support;
    atb[term] += weight * support * value;
  };
  believe(3, TYPICAL_BEND, FAINT);
  believe(4, 0, FAINT);
  believe(5, TYPICAL_BEND, FAINT);
  const filledRatio = Math.min(1, core / (Math.PI * CORE_MM * CORE_MM));
  if (order === 3) for (const term of [6, 7]) believe(term, 0, THIRD_SEEN + THIRD_HIDDEN * (1 - filledRatio));
  const c = [...solveHeld(ata, atb, terms)];
  c[3] = Math.min(FLATTEST, Math.max(SHARPEST, c[3]));
  c[5] = Math.min(FLATTEST, Math.max(SHARPEST, c[5]));
  let seen = 0;
  for (let k = 0; k < SECTORS; k++) seen += (sectors >> k) & 1;
  return {
    c,
    rmsMm: Math.sqrt(squares / support),
    supportMm2: support,
    seenRatio: seen / SECTORS,
    filledRatio,
  };
}

/** Unknowns of the height and of its two slopes, by order, in rising order. */
const ALL_TERMS = { 2: [0, 1, 2, 3, 4, 5], 3: [0, 1, 2, 3, 4, 5, 6, 7] } as const;
const ASIDE_TERMS = { 2: [1, 3, 4], 3: [1, 3, 4, 7] } as const;
const UP_TERMS = { 2: [2, 4, 5], 3: [2, 4, 5, 6, 7] } as const;

/** Adds one weighted equation, the sum of factor · unknown over `of` = value, to the lower triangle. */
function addEquation(
  ata: Float64Array,
  atb: Float64Array,
  factors: Float64Array,
  of: readonly number[],
  value: number,
  w: number,
): void {
  const size = atb.length;
  for (let a = 0; a < of.length; a++) {
    const wi = w * factors[of[a]];
    atb[of[a]] += wi * value;
    for (let b = 0; b <= a; b++) ata[size * of[a] + of[b]] += wi * factors[of[b]];
  }
}
