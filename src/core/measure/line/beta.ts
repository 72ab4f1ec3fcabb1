import { placed } from './CurveFamily.ts';

/** Constant of the published equation; 3.0314 · 0.25^0.8 = 0.99998907, so the apex is D to 1 part in 10⁵. */
export const BETA_CONSTANT = 3.0314;
const EXPONENT = 0.8;
/** Below this share of the width the exponent's infinite slope is left alone; keeps derivatives finite. */
const END = 1e-12;

/**
 * Beta function y = 3.0314·D·(x/W + ½)^0.8·(½ − x/W)^0.8, D depth, W width at the second molars.
 * Run through by u = x/W + ½ = sin²θ, because the slope is infinite at both ends.
 * Source: Braun S, Hnat WP, Fender DE, Legan HL, Angle Orthod 1998;68:29–36; equation from memory.
 */
export const beta = placed({
  form: 'beta',
  shapeCount: 2,
  domain: () => [0, Math.PI / 2],
  at(p, t, out) {
    const [depth, width] = p;
    const s2 = Math.sin(2 * t);
    const c2 = Math.cos(2 * t);
    const q = Math.max((s2 * s2) / 4, END); // u(1 − u)
    const k = BETA_CONSTANT * depth;
    const qe = q ** EXPONENT;
    out[0] = (-width * c2) / 2; // W(u − ½)
    out[1] = k * qe;
    out[2] = width * s2;
    // q' = sin2θ cos2θ, q'' = 2 cos4θ
    const dq = s2 * c2;
    const ddq = 2 * (c2 * c2 - s2 * s2);
    out[3] = (k * EXPONENT * qe * dq) / q;
    out[4] = 2 * width * c2;
    out[5] = k * EXPONENT * qe * (((EXPONENT - 1) * dq * dq) / (q * q) + ddq / q);
  },
  byParameter(_p, t, out) {
    const s2 = Math.sin(2 * t);
    out[0] = 0;
    out[1] = BETA_CONSTANT * Math.max((s2 * s2) / 4, END) ** EXPONENT;
    out[2] = -Math.cos(2 * t) / 2;
    out[3] = 0;
  },
  start: (height) => [height + 0.7, 2.5, 0, -0.7, 0],
  sound: (p) => p[0] > 0.1 && p[0] < 20 && p[1] > 0.5 && p[1] < 20,
});
