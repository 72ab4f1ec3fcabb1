import { normalProbability } from '../base/normalDistribution.ts';

const SIMPSON_STEPS = 400;
const WIDTH_IN_SD = 9; // beyond it the chi density adds less than 1e-15

/**
 * Chance that a value of the non-central t distribution is at most `t`.
 *
 * Accuracy: within 1e-8 of jstat where its series converges — tests/core/study/noncentralT.test.ts.
 * Source:   T ≤ t given the SD s is a normal event; integrated over the density of s. Johnson NL, Kotz S, Continuous
 *           Univariate Distributions 2, chapter 31 (from memory, unverified).
 */
export function noncentralTProbability(t: number, degrees: number, noncentrality: number): number {
  // u = s/σ has density ∝ u^(ν−1) exp(−νu²/2); its peak is at √(1 − 1/ν) and its SD close to 1/√(2ν).
  const peak = Math.sqrt(Math.max(0, 1 - 1 / degrees));
  const spread = WIDTH_IN_SD / Math.sqrt(2 * degrees);
  const low = Math.max(0, peak - spread);
  const high = peak + Math.max(spread, degrees < 4 ? 8 / Math.sqrt(degrees) : 0);
  const logDensity = (u: number): number =>
    degrees === 1 ? -(u * u) / 2 : (degrees - 1) * Math.log(u) - (degrees * u * u) / 2;
  const top = logDensity(peak || 1e-300);
  const step = (high - low) / SIMPSON_STEPS;
  let [chance, whole] = [0, 0];
  for (let i = 0; i <= SIMPSON_STEPS; i++) {
    const u = low + i * step;
    const weight = i === 0 || i === SIMPSON_STEPS ? 1 : i % 2 ? 4 : 2;
    const density = weight * (u === 0 && degrees > 1 ? 0 : Math.exp(logDensity(u) - top));
    whole += density;
    chance += density * normalProbability(t * u - noncentrality);
  }
  return chance / whole;
}

/**
 * How many sample SD from the sample mean a point lies that covers mean + `factor` SD of the population with the
 * given chance, n values sampled.
 *
 * Source:   Odeh RE, Owen DB, Tables for Normal Tolerance Limits 1980; used for limits of agreement by Carkeet A,
 *           Optom Vis Sci 2015;92:e71–e80 (from memory, unverified).
 */
export function toleranceFactor(chance: number, n: number, factor: number): number {
  const root = Math.sqrt(n);
  let low = factor - 1;
  let high = factor + 1;
  const below = (k: number): boolean => noncentralTProbability(k * root, n - 1, factor * root) < chance;
  for (let step = 1; !below(low); step *= 2) low -= step;
  for (let step = 1; below(high); step *= 2) high += step;
  for (let i = 0; i < 60 && high - low > 1e-12 * Math.abs(high); i++) {
    const middle = (low + high) / 2;
    if (below(middle)) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
