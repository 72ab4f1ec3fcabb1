import type { Vec2 } from '../../base/Vec3.ts';
import { curveLengthFixed } from './curveLength.ts';
import { bisquare, footPoint, type RobustFit, signedDistance, solvePositive } from './robustFit.ts';

/** Step of the central differences, in the arch's own units. */
const STEP = 1e-5;
const PIECES = 6;

/** Where the length is taken: indices, among the points, of the two it runs between, right to left. */
export interface LengthEnds {
  readonly right: number;
  readonly left: number;
}

/** A point set and the unit it stands in: mm for one unit, and the axes the points were laid in. */
export interface ScaledPoints {
  readonly points: readonly Vec2[];
  readonly unitMm: number;
  readonly axes: readonly [Vec2, Vec2]; // of the unit frame, in plane coordinates
}

/** Shares of the mean diagonal added until the system is positive definite, e.g. for the turn of a circle. */
const RIDGES = [1e-9, 1e-7, 1e-5];

function solveNearlySingular(a: Float64Array, b: Float64Array): Float64Array | null {
  const n = b.length;
  let mean = 0;
  for (let k = 0; k < n; k++) mean += Math.abs(a[k * n + k]) / n;
  for (const ridge of RIDGES) {
    const x = solvePositive(
      a.map((value, i) => (i % (n + 1) === 0 ? value + ridge * mean : value)),
      b,
    );
    if (x) return x;
  }
  return null;
}

/**
 * Gradient of a fitted curve's length by every point, by the implicit function theorem on the converged fit:
 * at the fit Σ ψ(dᵢ) ∂dᵢ/∂p + P p = 0, so dL/dx = ∂L/∂x − λᵀ ∂G/∂x with H λ = ∂L/∂p. The points the length
 * runs between also carry the unit and the axes of the frame; `rescale` lays all points anew when one moves.
 *
 * Units:    mm of length per mm of point, plane coordinates.
 * Accuracy: against refitting with each point moved, within 10 % of the largest (the cut-off is held fixed); the SD within 3 % — tests/core/measure/uncertainty.test.ts.
 */
export function lengthGradient(
  fit: RobustFit,
  scaled: ScaledPoints,
  ends: LengthEnds,
  rescale: (index: number, moveMm: Vec2) => ScaledPoints,
): readonly Vec2[] | null {
  const { family, parameters, cut } = fit;
  const n = family.parameterCount;
  const normal = new Float64Array(2);
  const partial = new Float64Array(2 * n);

  /** Adds ψ(d) ∂d/∂p of one point to `out`, times `factor`. */
  const addTerm = (p: Float64Array, point: Vec2, guess: number, factor: number, out: Float64Array): void => {
    const t = footPoint(family, p, point, guess, 8);
    const d = signedDistance(family, p, point, t, normal);
    const psi = -bisquare(d, cut) * d * factor;
    if (psi === 0) return;
    family.byParameter(p, t, partial);
    for (let k = 0; k < n; k++) out[k] += psi * (normal[0] * partial[2 * k] + normal[1] * partial[2 * k + 1]);
  };
  const lengthAt = (p: Float64Array, points: readonly Vec2[]): number =>
    curveLengthFixed(
      family,
      p,
      footPoint(family, p, points[ends.right], fit.feet[ends.right], 8),
      footPoint(family, p, points[ends.left], fit.feet[ends.left], 8),
      PIECES,
    );

  const { points, unitMm } = scaled;
  const hessian = new Float64Array(n * n);
  const lengthByParameter = new Float64Array(n);
  const p = Float64Array.from(parameters);
  const column = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    column.fill(0);
    for (const sign of [1, -1]) {
      p[k] = parameters[k] + sign * STEP;
      for (let i = 0; i < points.length; i++) addTerm(p, points[i], fit.feet[i], sign / (2 * STEP), column);
      lengthByParameter[k] += (sign * lengthAt(p, points)) / (2 * STEP);
    }
    p[k] = parameters[k];
    for (let l = 0; l < n; l++) hessian[k * n + l] += column[l] / 2;
    for (let l = 0; l < n; l++) hessian[l * n + k] += column[l] / 2;
  }
  if (family.penalty) for (let i = 0; i < hessian.length; i++) hessian[i] += family.penalty[i];
  const lambda = solveNearlySingular(hessian, lengthByParameter);
  if (!lambda) return null;

  const along = (index: number): Vec2 => {
    const slope: [number, number] = [0, 0];
    const isEnd = index === ends.right || index === ends.left;
    const term = new Float64Array(n);
    for (let axis = 0; axis < 2; axis++) {
      term.fill(0);
      let direct = 0;
      for (const sign of [1, -1]) {
        const stepMm = sign * STEP * unitMm;
        const moveMm: Vec2 = axis === 0 ? [stepMm, 0] : [0, stepMm];
        const factor = sign / (2 * STEP * unitMm);
        if (isEnd) {
          const moved = rescale(index, moveMm);
          for (let i = 0; i < points.length; i++)
            addTerm(parameters, moved.points[i], fit.feet[i], factor, term);
          direct += factor * moved.unitMm * lengthAt(parameters, moved.points);
        } else {
          const [ex, ey] = scaled.axes;
          const moved: Vec2 = [
            points[index][0] + (moveMm[0] * ex[0] + moveMm[1] * ex[1]) / unitMm,
            points[index][1] + (moveMm[0] * ey[0] + moveMm[1] * ey[1]) / unitMm,
          ];
          addTerm(parameters, moved, fit.feet[index], factor, term);
        }
      }
      let viaFit = 0;
      for (let k = 0; k < n; k++) viaFit += lambda[k] * term[k];
      slope[axis] = direct - unitMm * viaFit;
    }
    return slope;
  };
  return points.map((_, index) => along(index));
}
