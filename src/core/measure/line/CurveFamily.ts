import type { Vec2 } from '../../base/Vec3.ts';
import type { ArchForm } from '../ArchMeasures.ts';

/**
 * A family of plane curves c(t; p), run through from the patient's right to left, front up. Curves live in the
 * arch's own units: the first molars' mesial contact points near (−1, 0) and (1, 0).
 */
export interface CurveFamily {
  readonly form: ArchForm;
  readonly parameterCount: number;
  /** Penalty matrix on the parameters, row by row, or null. */
  readonly penalty: Float64Array | null;
  /** Range of t in which the curve exists for these parameters. */
  domain(p: Float64Array): readonly [number, number];
  /** Writes x, y, x', y', x'', y'' at t. */
  at(p: Float64Array, t: number, out: Float64Array): void;
  /** Writes ∂x/∂p₀, ∂y/∂p₀, ∂x/∂p₁, … at t. */
  byParameter(p: Float64Array, t: number, out: Float64Array): void;
  /** Parameters to start a fit from: a smooth arch of the given height over the base (−1, 0)–(1, 0). */
  start(height: number, points: readonly Vec2[]): Float64Array;
  /** False where parameters make no arch of this form (fit is then refused). */
  sound(p: Float64Array): boolean;
}

/** Shape in its own axes: apex upward. The first `shapeCount` parameters shape it, then x0, y0, angle place it. */
export interface Shape {
  readonly form: ArchForm;
  readonly shapeCount: number;
  domain(p: Float64Array): readonly [number, number];
  at(p: Float64Array, t: number, out: Float64Array): void;
  byParameter(p: Float64Array, t: number, out: Float64Array): void;
  start(height: number): readonly number[]; // shape parameters, then x0, y0, angle
  sound(p: Float64Array): boolean;
}

/** A family made of a shape that may be moved and turned in the plane. */
export function placed(shape: Shape): CurveFamily {
  const n = shape.shapeCount;
  const local = new Float64Array(6);
  return {
    form: shape.form,
    parameterCount: n + 3,
    penalty: null,
    domain: shape.domain,
    at(p, t, out) {
      shape.at(p, t, local);
      const c = Math.cos(p[n + 2]);
      const s = Math.sin(p[n + 2]);
      for (let i = 0; i < 6; i += 2) {
        out[i] = c * local[i] - s * local[i + 1];
        out[i + 1] = s * local[i] + c * local[i + 1];
      }
      out[0] += p[n];
      out[1] += p[n + 1];
    },
    byParameter(p, t, out) {
      shape.byParameter(p, t, out);
      const c = Math.cos(p[n + 2]);
      const s = Math.sin(p[n + 2]);
      for (let k = 0; k < n; k++) {
        const x = out[2 * k];
        const y = out[2 * k + 1];
        out[2 * k] = c * x - s * y;
        out[2 * k + 1] = s * x + c * y;
      }
      out[2 * n] = 1;
      out[2 * n + 1] = 0;
      out[2 * n + 2] = 0;
      out[2 * n + 3] = 1;
      shape.at(p, t, local);
      out[2 * n + 4] = -s * local[0] - c * local[1];
      out[2 * n + 5] = c * local[0] - s * local[1];
    },
    start: (height) => Float64Array.from(shape.start(height)),
    sound: (p) => p.every(Number.isFinite) && Math.abs(p[n + 2]) < 0.5 && shape.sound(p),
  };
}
