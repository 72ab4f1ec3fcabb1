import { Refusal } from '../base/refusal.ts';
import { deming } from './deming.ts';
import { checkPairs, checkValues } from './pairs.ts';
import { stableSum } from './sums.ts';

export interface YorkLine {
  readonly slope: number;
  readonly intercept: number;
  readonly slopeSe: number;
  readonly interceptSe: number;
  readonly chiSquare: number; // weighted sum of squared residuals, n − 2 degrees of freedom
}

/**
 * Straight line where every point has its own error in both columns: Deming's general case.
 *
 * Shape:    n ≥ 3 pairs; weights 1/σ² above 0 for each value; correlation of the two errors, 0 by default.
 * Refuses:  'too-few-pairs', 'number-invalid', 'no-variation', 'field-invalid' (a weight not above 0).
 * Accuracy: Pearson's data with York's weights to the printed digits — tests/core/study/regression.test.ts.
 * Source:   York D, Can J Phys 1966;44:1079–1086; unified form York D et al., Am J Phys 2004;72:367–375 (from memory,
 *           unverified).
 */
export function yorkLine(
  x: readonly number[],
  y: readonly number[],
  weightsX: readonly number[],
  weightsY: readonly number[],
  correlation = 0,
): YorkLine {
  checkPairs('yorkLine', x, y, 3);
  checkPairs('yorkLine', weightsX, weightsY, x.length);
  checkValues('yorkLine', [...weightsX, ...weightsY]);
  if ([...weightsX, ...weightsY].some((weight) => !(weight > 0)) || !(Math.abs(correlation) < 1))
    throw new Refusal(
      'field-invalid',
      'yorkLine: a weight or the correlation is out of range; got a weight not above 0 or a correlation not within ±1, need 1/σ² of each value. Correct it.',
    );
  const alpha = weightsX.map((weight, i) => Math.sqrt(weight * weightsY[i]));
  let slope = deming(x, y).slope;
  for (let round = 0; round < 500; round++) {
    const next = improved(slope).slope;
    const change = Math.abs(next - slope);
    slope = next;
    if (change <= 1e-15 * Math.abs(slope)) break;
  }
  const { weights, centre, beta } = improved(slope);
  const intercept = centre[1] - slope * centre[0];
  const total = stableSum(weights);
  const adjusted = beta.map((b) => centre[0] + b);
  const adjustedMean = stableSum(adjusted.map((value, i) => weights[i] * value)) / total;
  const slopeVariance = 1 / stableSum(adjusted.map((value, i) => weights[i] * (value - adjustedMean) ** 2));
  return {
    slope,
    intercept,
    slopeSe: Math.sqrt(slopeVariance),
    interceptSe: Math.sqrt(1 / total + adjustedMean ** 2 * slopeVariance),
    chiSquare: stableSum(x.map((value, i) => weights[i] * (y[i] - slope * value - intercept) ** 2)),
  };

  function improved(b: number) {
    const weights = alpha.map(
      (a, i) => a ** 2 / (weightsX[i] + b ** 2 * weightsY[i] - 2 * b * correlation * a),
    );
    const total = stableSum(weights);
    const middle = (values: readonly number[]): number =>
      stableSum(values.map((value, i) => weights[i] * value)) / total;
    const centre = [middle(x), middle(y)] as const;
    const beta = x.map((value, i) => {
      const [u, v] = [value - centre[0], y[i] - centre[1]];
      return weights[i] * (u / weightsY[i] + (b * v) / weightsX[i] - ((b * u + v) * correlation) / alpha[i]);
    });
    const above = stableSum(beta.map((value, i) => weights[i] * value * (y[i] - centre[1])));
    const below = stableSum(beta.map((value, i) => weights[i] * value * (x[i] - centre[0])));
    return { slope: above / below, weights, centre, beta };
  }
}
