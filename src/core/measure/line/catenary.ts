import { placed } from './CurveFamily.ts';

/** a with a(cosh(half/a) − 1) = depth, by bisection on half/a; any one unit. */
export function catenaryParameter(half: number, depth: number): number {
  let low = 1e-9;
  let high = 20;
  for (let i = 0; i < 200; i++) {
    const u = (low + high) / 2;
    if ((Math.cosh(u) - 1) / u < depth / half) low = u;
    else high = u;
  }
  return half / ((low + high) / 2);
}

/**
 * Catenary y = a − a·cosh(x/a), hanging upward from its apex; t is arc length from the apex, so x = a·asinh(t/a).
 * Source: MacConaill MA, Scher EA 1949; Burdi AR, Lillie JH, Am J Phys Anthropol 1966;25:13–20; from memory.
 */
export const catenary = placed({
  form: 'catenary',
  shapeCount: 1,
  domain: () => [-50, 50],
  at(p, t, out) {
    const a = p[0];
    const h = Math.sqrt(a * a + t * t);
    out[0] = a * Math.asinh(t / a);
    out[1] = a - h;
    out[2] = a / h;
    out[3] = -t / h;
    out[4] = (-a * t) / h ** 3;
    out[5] = (-a * a) / h ** 3;
  },
  byParameter(p, t, out) {
    const a = p[0];
    const h = Math.sqrt(a * a + t * t);
    out[0] = Math.asinh(t / a) - t / h;
    out[1] = 1 - a / h;
  },
  start: (height) => [catenaryParameter(1, height), 0, height, 0],
  sound: (p) => p[0] > 0.02 && p[0] < 20,
});
