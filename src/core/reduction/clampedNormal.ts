import { normalDensity, normalProbability } from '../base/normalDistribution.ts';

/** Moments of a normal value cut off below at 0 and above at `mostMm`, what lies beyond moved to the ends. */
export interface ClampedNormal {
  readonly mean: number;
  readonly variance: number;
  /** Chance of lying between the ends: its covariance with anything jointly normal is this part of the uncut one. */
  readonly inside: number;
}

/**
 * Exact. Source: integrals of the normal density by parts; the covariance is Stein's lemma.
 * Accuracy: within 0.005 of a million draws — tests/core/reduction/remeasuredForecast.test.ts.
 */
export function clampedNormal(mean: number, sd: number, most: number): ClampedNormal {
  if (most <= 0) return { mean: 0, variance: 0, inside: 0 };
  if (sd < 1e-12) {
    const inside = mean > 0 && mean < most ? 1 : 0;
    return { mean: Math.min(most, Math.max(0, mean)), variance: 0, inside };
  }
  const a = -mean / sd;
  const b = (most - mean) / sd;
  const inside = normalProbability(b) - normalProbability(a);
  const above = normalProbability(-b);
  const atMost = above > 0 ? most * above : 0;
  const slope = normalDensity(a) - normalDensity(b);
  const first = mean * inside + sd * slope + atMost;
  const ends = a * normalDensity(a) - (Number.isFinite(b) ? b * normalDensity(b) : 0);
  const second =
    (mean * mean + sd * sd) * inside +
    2 * mean * sd * slope +
    sd * sd * ends +
    (atMost > 0 ? most * atMost : 0);
  return { mean: first, variance: Math.max(0, second - first * first), inside };
}
