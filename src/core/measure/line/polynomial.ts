import type { CurveFamily } from './CurveFamily.ts';

/**
 * Polynomial y = Σ aₖxᵏ, x across the arch (along the line through the first molars' mesial contact points).
 * Source: degree 4 and 6 as arch forms, Pepe SH, J Dent Res 1975;54:1124–1132, from memory.
 */
export function polynomial(degree: 4 | 6): CurveFamily {
  return {
    form: degree === 4 ? 'polynomial4' : 'polynomial6',
    parameterCount: degree + 1,
    penalty: null,
    domain: () => [-3, 3],
    at(p, t, out) {
      let y = 0;
      let dy = 0;
      let ddy = 0;
      for (let k = degree; k >= 0; k--) {
        ddy = ddy * t + 2 * dy;
        dy = dy * t + y;
        y = y * t + p[k];
      }
      out[0] = t;
      out[1] = y;
      out[2] = 1;
      out[3] = dy;
      out[4] = 0;
      out[5] = ddy;
    },
    byParameter(_p, t, out) {
      let power = 1;
      for (let k = 0; k <= degree; k++) {
        out[2 * k] = 0;
        out[2 * k + 1] = power;
        power *= t;
      }
    },
    start(height) {
      const p = new Float64Array(degree + 1);
      p[0] = height;
      p[2] = -height;
      return p;
    },
    sound: (p) => p.every(Number.isFinite),
  };
}
