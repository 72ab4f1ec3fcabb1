import { placed } from './CurveFamily.ts';

/** Constant of the published equation; 3.0314 · 0.25^0.8 = 0.99998907, so the apex is D to 1 part in 10⁵. */
const BETA_CONSTANT = 3.0314;
const EXPONENT = 0.8;
/** Power that makes y grow evenly with t at the ends, where the slope dy/dx is infinite. */
const EVEN = 1 / EXPONENT;
/** Nearer to an end than this is the end; keeps derivatives finite. */
const END = 1e-12;
/** How far the legs run straight on behind the ends, in t. */
const LEG = 0.6;

const u = new Float64Array(4);

/**
 * Writes u, u', u'' of u = t^e / (t^e + (1 − t)^e), e = EVEN = 1.25, and (u(1 − u))^0.8, which is
 * t(1 − t) / (t^e + (1 − t)^e)^1.6; roots instead of powers, as this is the innermost work of a fit.
 */
function share(t: number): void {
  const s = Math.min(Math.max(t, END), 1 - END);
  const a = s * Math.sqrt(Math.sqrt(s));
  const b = (1 - s) * Math.sqrt(Math.sqrt(1 - s));
  const da = (EVEN * a) / s;
  const db = (-EVEN * b) / (1 - s);
  const dda = ((EVEN - 1) * da) / s;
  const ddb = (-(EVEN - 1) * db) / (1 - s);
  const sum = a + b;
  const slope = da * b - a * db;
  u[0] = a / sum;
  u[1] = slope / sum ** 2;
  u[3] = (s * (1 - s)) / sum ** (2 * EXPONENT);
  u[2] = (dda * b - a * ddb) / sum ** 2 - (2 * slope * (da + db)) / sum ** 3;
}

/**
 * Beta function y = 3.0314·D·(x/W + ½)^0.8·(½ − x/W)^0.8, D depth, W width at the second molars; t from 0 to 1,
 * and straight on backwards beyond, where the function ends with a vertical tangent.
 * Source: Braun S, Hnat WP, Fender DE, Legan HL, Angle Orthod 1998;68:29–36; equation from memory.
 */
export const beta = placed({
  form: 'beta',
  shapeCount: 2,
  domain: () => [-LEG, 1 + LEG],
  at(p, t, out) {
    const [depth, width] = p;
    const k = BETA_CONSTANT * depth;
    if (t < 0 || t > 1) {
      const right = t > 1;
      out[0] = right ? width / 2 : -width / 2;
      out[1] = right ? k * (1 - t) : k * t;
      out[2] = 0;
      out[3] = right ? -k : k;
      out[4] = 0;
      out[5] = 0;
      return;
    }
    share(t);
    const q = u[0] * (1 - u[0]);
    const dq = u[1] * (1 - 2 * u[0]);
    const ddq = u[2] * (1 - 2 * u[0]) - 2 * u[1] * u[1];
    const y = k * u[3];
    out[0] = width * (u[0] - 0.5);
    out[1] = y;
    out[2] = width * u[1];
    out[3] = (y * EXPONENT * dq) / q;
    out[4] = width * u[2];
    out[5] = y * EXPONENT * (ddq / q + ((EXPONENT - 1) * dq * dq) / (q * q));
  },
  byParameter(_p, t, out) {
    out[0] = 0;
    out[3] = 0;
    if (t < 0 || t > 1) {
      out[1] = BETA_CONSTANT * (t < 0 ? t : 1 - t);
      out[2] = t < 0 ? -0.5 : 0.5;
      return;
    }
    share(t);
    out[1] = BETA_CONSTANT * u[3];
    out[2] = u[0] - 0.5;
  },
  start: (height) => [height + 0.7, 2.5, 0, -0.7, 0],
  sound: (p) => p[0] > 0.1 && p[0] < 20 && p[1] > 0.5 && p[1] < 20,
});
