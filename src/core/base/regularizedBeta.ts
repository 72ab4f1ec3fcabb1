/**
 * Regularized incomplete beta function I(x; a, b), the root of the t and F distributions.
 *
 * Accuracy: as the distributions built on it — tests/core/base/studentDistribution.test.ts, fDistribution.test.ts.
 * Source:   continued fraction, Abramowitz & Stegun 1964, 26.5.8, evaluated from the front.
 */
export function regularizedBeta(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  const front = Math.exp(a * Math.log(x) + b * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b));
  // The fraction converges fast on one side of the mean only.
  if (x < (a + 1) / (a + b + 2)) return (front * betaFraction(x, a, b)) / a;
  return 1 - (front * betaFraction(1 - x, b, a)) / b;
}

/** Evaluated from the front (Lentz 1976). */
function betaFraction(x: number, a: number, b: number): number {
  const tiny = 1e-300;
  let c = 1;
  let d = 1 / (1 - ((a + b) * x) / (a + 1) || tiny);
  let value = d;
  for (let m = 1; m <= 500; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / (1 + even * d || tiny);
    c = 1 + even / c || tiny;
    value *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / (1 + odd * d || tiny);
    c = 1 + odd / c || tiny;
    const change = d * c;
    value *= change;
    if (Math.abs(change - 1) < 1e-15) break;
  }
  return value;
}

/** Logarithm of the gamma function above 0: Stirling's series once the argument is large enough. */
export function logGamma(z: number): number {
  let shift = 0;
  let x = z;
  for (; x < 12; x++) shift += Math.log(x);
  const r = 1 / (x * x);
  const series = (1 / 12 - r * (1 / 360 - r * (1 / 1260 - r * (1 / 1680 - r / 1188)))) / x;
  return (x - 0.5) * Math.log(x) - x + 0.5 * Math.log(2 * Math.PI) + series - shift;
}
