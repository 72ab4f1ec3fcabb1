import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import type { Vec2 } from '../../base/Vec3.ts';
import type { CurveFamily } from './CurveFamily.ts';

/** A curve fitted to points; arrays run with the points. Distances are signed, positive outside the arch. */
export interface RobustFit {
  readonly family: CurveFamily;
  readonly parameters: Float64Array;
  readonly feet: Float64Array; // t of the nearest point of the curve
  readonly distances: Float64Array;
  readonly weights: Float64Array; // 0–1
  readonly cut: number;
}

/** Bisquare weight of a distance (Beaton AE, Tukey JW, Technometrics 1974;16:147–185; from memory). */
export function bisquare(distance: number, cut: number): number {
  const u = distance / cut;
  return Math.abs(u) < 1 ? (1 - u * u) ** 2 : 0;
}

const bisquareLoss = (distance: number, cut: number): number => {
  const u = distance / cut;
  return (cut * cut * (Math.abs(u) < 1 ? 1 - (1 - u * u) ** 3 : 1)) / 6;
};

const c = new Float64Array(6);

/** t of the curve point nearest to `point`, from a guess, by Newton steps kept inside the domain. */
export function footPoint(
  family: CurveFamily,
  p: Float64Array,
  point: Vec2,
  guess: number,
  steps: number,
): number {
  const [low, high] = family.domain(p);
  let t = guess;
  for (let i = 0; i < steps; i++) {
    family.at(p, t, c);
    const dx = point[0] - c[0];
    const dy = point[1] - c[1];
    const slope = dx * c[2] + dy * c[3];
    const speed2 = c[2] * c[2] + c[3] * c[3];
    const bend = speed2 - dx * c[4] - dy * c[5];
    const move = slope / (bend > 0.3 * speed2 ? bend : speed2);
    if (!Number.isFinite(move)) return t;
    t = Math.min(high, Math.max(low, t + Math.max(-0.3, Math.min(0.3, move))));
    if (Math.abs(move) < 1e-13) break;
  }
  return t;
}

/** First guess of the foot: nearest of evenly spread samples of the curve. */
function roughFeet(family: CurveFamily, p: Float64Array, points: readonly Vec2[]): Float64Array {
  const [low, high] = family.domain(p);
  const from = Math.max(low, -3);
  const to = Math.min(high, 3);
  const samples = 96;
  const best = new Float64Array(points.length).fill(Number.POSITIVE_INFINITY);
  const feet = new Float64Array(points.length);
  for (let k = 0; k <= samples; k++) {
    const t = from + ((to - from) * k) / samples;
    family.at(p, t, c);
    for (let i = 0; i < points.length; i++) {
      const d = (points[i][0] - c[0]) ** 2 + (points[i][1] - c[1]) ** 2;
      if (d < best[i]) {
        best[i] = d;
        feet[i] = t;
      }
    }
  }
  return feet;
}

/** Signed distance of a point from the curve at its foot; leaves the unit normal in `normal`. */
export function signedDistance(
  family: CurveFamily,
  p: Float64Array,
  point: Vec2,
  t: number,
  normal: Float64Array,
): number {
  family.at(p, t, c);
  const speed = Math.hypot(c[2], c[3]) || 1e-300;
  normal[0] = -c[3] / speed;
  normal[1] = c[2] / speed;
  return normal[0] * (point[0] - c[0]) + normal[1] * (point[1] - c[1]);
}

/** Solves A x = b for a symmetric positive definite A (row by row; its lower half counts), or null. */
export function solvePositive(a: Float64Array, b: Float64Array): Float64Array | null {
  const n = b.length;
  for (let k = 0; k < n; k++) for (let l = 0; l < k; l++) a[l * n + k] = a[k * n + l];
  const decomposition = new CholeskyDecomposition(Matrix.from1DArray(n, n, a as unknown as number[]));
  if (!decomposition.isPositiveDefinite()) return null;
  const x = Float64Array.from(decomposition.solve(Matrix.columnVector(b as unknown as number[])).to1DArray());
  return x.every(Number.isFinite) ? x : null;
}

function lossOf(fit: {
  family: CurveFamily;
  parameters: Float64Array;
  distances: Float64Array;
  cut: number;
}): number {
  let sum = 0;
  for (const d of fit.distances) sum += bisquareLoss(d, fit.cut);
  const { penalty } = fit.family;
  const p = fit.parameters;
  if (penalty)
    for (let i = 0; i < p.length; i++)
      for (let j = 0; j < p.length; j++) sum += 0.5 * penalty[i * p.length + j] * p[i] * p[j];
  return sum;
}

/** One reweighted Gauss–Newton system at the present state: (Σ w j jᵀ + P + µD) Δ = Σ w d j − P p. */
function step(
  family: CurveFamily,
  points: readonly Vec2[],
  p: Float64Array,
  feet: Float64Array,
  cut: number,
  damping: number,
): Float64Array | null {
  const n = family.parameterCount;
  const a = new Float64Array(n * n);
  const b = new Float64Array(n);
  const partial = new Float64Array(2 * n);
  const row = new Float64Array(n);
  const normal = new Float64Array(2);
  for (let i = 0; i < points.length; i++) {
    const d = signedDistance(family, p, points[i], feet[i], normal);
    const w = bisquare(d, cut);
    if (w === 0) continue;
    family.byParameter(p, feet[i], partial);
    for (let k = 0; k < n; k++) row[k] = normal[0] * partial[2 * k] + normal[1] * partial[2 * k + 1];
    for (let k = 0; k < n; k++) {
      if (row[k] === 0) continue;
      b[k] += w * d * row[k];
      for (let l = 0; l <= k; l++) a[k * n + l] += w * row[k] * row[l];
    }
  }
  if (family.penalty)
    for (let k = 0; k < n; k++)
      for (let l = 0; l < n; l++) {
        a[k * n + l] += family.penalty[k * n + l];
        b[k] -= family.penalty[k * n + l] * p[l];
      }
  for (let k = 0; k < n; k++) a[k * n + k] += damping * a[k * n + k] + 1e-12;
  return solvePositive(a, b);
}

/** Cut-offs gone through, as multiples of the last: wide first, so that no early outlier decides. */
const CUTS = [16, 8, 4, 2, 1.4, 1];
const ROUNDS_PER_CUT = 6;
const LAST_ROUNDS = 80;

/**
 * Fits a curve to points so that displaced points do not pull it: iteratively reweighted least squares of the
 * orthogonal distances with bisquare weights, the cut-off narrowed stepwise to `cut`, Levenberg-damped.
 * Deterministic. Null where the points do not determine such a curve.
 *
 * Units:    the arch's own (half the distance between the first molars' mesial contact points = 1).
 * Accuracy: one tooth moved 3 mm outward changes the length by less than 0.25 mm — tests/core/measure/archLine.test.ts.
 */
export function robustFit(family: CurveFamily, points: readonly Vec2[], cut: number): RobustFit | null {
  const front = Math.max(...points.map((point) => point[1]));
  let p = family.start(front, points);
  let feet = roughFeet(family, p, points);
  const refine = (q: Float64Array, from: Float64Array, steps: number): Float64Array =>
    from.map((t, i) => footPoint(family, q, points[i], t, steps));
  const normal = new Float64Array(2);
  const measure = (q: Float64Array, at: Float64Array): Float64Array =>
    at.map((t, i) => signedDistance(family, q, points[i], t, normal));
  feet = refine(p, feet, 12);
  for (const [stage, factor] of CUTS.entries()) {
    const cutNow = cut * factor;
    const last = stage === CUTS.length - 1;
    let damping = 1e-4;
    let loss = lossOf({ family, parameters: p, distances: measure(p, feet), cut: cutNow });
    for (let round = 0; round < (last ? LAST_ROUNDS : ROUNDS_PER_CUT); round++) {
      const move = step(family, points, p, feet, cutNow, damping);
      if (!move) return null;
      const tried = p.map((value, k) => value + move[k]);
      const size = Math.max(...move.map(Math.abs));
      const ok = family.sound(tried);
      const triedFeet = ok ? refine(tried, feet, 6) : feet;
      const triedLoss = ok
        ? lossOf({ family, parameters: tried, distances: measure(tried, triedFeet), cut: cutNow })
        : Number.POSITIVE_INFINITY;
      if (triedLoss <= loss * (1 + 1e-12)) {
        p = tried;
        feet = triedFeet;
        loss = triedLoss;
        damping = Math.max(damping / 10, 1e-12);
        if (size < 1e-10) break;
      } else {
        if (damping > 1e3 || size < 1e-9) break;
        damping *= 10;
      }
    }
  }
  const distances = measure(p, feet);
  const weights = distances.map((d) => bisquare(d, cut));
  const used = weights.filter((w) => w > 0).length;
  if (!family.sound(p) || !distances.every(Number.isFinite)) return null;
  if (used < Math.min(family.parameterCount, 6) + 1 || used * 2 < points.length) return null;
  return { family, parameters: p, feet, distances, weights, cut };
}
