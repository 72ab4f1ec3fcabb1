import { placed } from './CurveFamily.ts';

/**
 * Conic through its apex: x² = 2ρX − qX², X the depth below the apex; q > 0 ellipse (half-axes ρ/q deep,
 * ρ/√q wide), q = 0 parabola, q < 0 hyperbola. Run through by s = X/x: X = 2ρs²/(1 + qs²), x = 2ρs/(1 + qs²).
 * Source: conics as arch forms, Currier JH, Am J Orthod 1969;56:164–179, from memory; the form is algebra.
 */
export const conic = placed({
  form: 'conic',
  shapeCount: 2,
  domain(p) {
    const reach = p[1] < 0 ? 0.999 / Math.sqrt(-p[1]) : 50;
    return [-reach, reach];
  },
  at(p, t, out) {
    const [rho, q] = p;
    const g = 1 + q * t * t;
    const g2 = g * g;
    const g3 = g2 * g;
    out[0] = (2 * rho * t) / g;
    out[1] = (-2 * rho * t * t) / g;
    out[2] = (2 * rho * (1 - q * t * t)) / g2;
    out[3] = (-4 * rho * t) / g2;
    out[4] = (-4 * rho * q * t * (3 - q * t * t)) / g3;
    out[5] = (-4 * rho * (1 - 3 * q * t * t)) / g3;
  },
  byParameter(p, t, out) {
    const [rho, q] = p;
    const g = 1 + q * t * t;
    out[0] = (2 * t) / g;
    out[1] = (-2 * t * t) / g;
    out[2] = (-2 * rho * t ** 3) / (g * g);
    out[3] = (2 * rho * t ** 4) / (g * g);
  },
  start: (height) => [(1 + 0.3 * height * height) / (2 * height), 0.3, 0, height, 0],
  sound: (p) => p[0] > 0.02 && p[0] < 20 && p[1] > -20 && p[1] < 20,
});
