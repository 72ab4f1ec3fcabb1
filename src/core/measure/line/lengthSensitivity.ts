import type { Vec2 } from '../../base/Vec3.ts';
import { curveLengthFixed } from './curveLength.ts';
import { footPoint } from './footPoint.ts';
import { addGroup, type PointGroup, type RobustFit } from './robustFit.ts';
import { solvePositive } from './solvePositive.ts';

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

/** What a fitted curve's length hangs on. */
export interface LengthSensitivity {
  readonly gradients: readonly Vec2[]; // mm of length per mm of point, plane coordinates
  readonly leftOutMm: readonly number[]; // per group: first-order change of the length when it is left out
}

/**
 * Gradient of a fitted curve's length by every point, by the implicit function theorem on the converged fit:
 * at the fit G = ∂loss/∂p = 0, so dL/dx = ∂L/∂x − λᵀ ∂G/∂x with H λ = ∂L/∂p. The points the length
 * runs between also carry the unit and the axes of the frame; `rescale` lays all points anew when one moves.
 *
 * Units:    mm of length per mm of point, plane coordinates.
 * Accuracy: within 10 % of the largest component against refitting, every form — tests/core/measure/uncertainty.test.ts.
 */
export function lengthSensitivity(
  fit: RobustFit,
  scaled: ScaledPoints,
  groups: readonly PointGroup[],
  ends: LengthEnds,
  rescale: (index: number, moveMm: Vec2) => ScaledPoints,
): LengthSensitivity | null {
  const { family, parameters, cut } = fit;
  const n = family.parameterCount;
  const feet = Float64Array.from(fit.feet);

  /** Adds ∂loss/∂p of one tooth, its points' feet found anew, to `out`, times `factor`. */
  const addTerm = (
    p: Float64Array,
    at: readonly Vec2[],
    group: PointGroup,
    factor: number,
    out: Float64Array,
    cutNow = cut,
  ): void => {
    for (const i of group) feet[i] = footPoint(family, p, at[i], fit.feet[i], 8);
    addGroup(family, at, group, p, feet, cutNow, -factor, out, null);
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
      for (const group of groups) addTerm(p, points, group, sign / (2 * STEP), column);
      lengthByParameter[k] += (sign * lengthAt(p, points)) / (2 * STEP);
    }
    p[k] = parameters[k];
    for (let l = 0; l < n; l++) hessian[k * n + l] += column[l] / 2;
    for (let l = 0; l < n; l++) hessian[l * n + k] += column[l] / 2;
  }
  if (family.penalty) for (let i = 0; i < hessian.length; i++) hessian[i] += family.penalty[i];
  const lambda = solveNearlySingular(hessian, lengthByParameter);
  if (!lambda) return null;

  // by the cut-off, which follows the scatter
  const byCut = new Float64Array(n);
  for (const sign of [1, -1])
    for (const group of groups)
      addTerm(parameters, points, group, sign / (2 * STEP), byCut, cut + sign * STEP);
  const lengthByCut = -byCut.reduce((sum, value, k) => sum + lambda[k] * value, 0);

  const trial = [...points];
  const along = (index: number): Vec2 => {
    const slope: [number, number] = [0, 0];
    const own = groups.find((group) => group.includes(index))!;
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
          for (const group of groups) addTerm(parameters, moved.points, group, factor, term);
          direct += factor * moved.unitMm * lengthAt(parameters, moved.points);
        } else {
          const [ex, ey] = scaled.axes;
          const moved: Vec2 = [
            points[index][0] + (moveMm[0] * ex[0] + moveMm[1] * ex[1]) / unitMm,
            points[index][1] + (moveMm[0] * ey[0] + moveMm[1] * ey[1]) / unitMm,
          ];
          trial[index] = moved;
          addTerm(parameters, trial, own, factor, term);
          trial[index] = points[index];
        }
      }
      let viaFit = 0;
      for (let k = 0; k < n; k++) viaFit += lambda[k] * term[k];
      const [ex, ey] = scaled.axes;
      const viaCut = lengthByCut * (fit.cutSlopes[index][0] * ex[axis] + fit.cutSlopes[index][1] * ey[axis]);
      slope[axis] = direct - unitMm * viaFit + viaCut;
    }
    return slope;
  };
  const leftOutMm = groups.map((group) => {
    const term = new Float64Array(n);
    addTerm(parameters, points, group, 1, term);
    return unitMm * term.reduce((sum, value, k) => sum + lambda[k] * value, 0);
  });
  return { gradients: points.map((_, index) => along(index)), leftOutMm };
}
