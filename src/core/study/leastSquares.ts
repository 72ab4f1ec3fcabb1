import { Matrix, QrDecomposition } from 'ml-matrix';
import { Refusal } from '../base/refusal.ts';
import { checkValues } from './pairs.ts';
import { mean, stableSum, sumOfSquares } from './sums.ts';

/** A column whose part of its own is smaller than this share follows from the others. */
const DEPENDENT_RATIO = 1e-11;

export interface LeastSquares {
  readonly coefficients: readonly number[]; // the intercept first
  readonly standardErrors: readonly number[];
  readonly residualSd: number;
  readonly rSquared: number;
}

/**
 * Least squares of y on several columns and a constant, by QR of the centred and scaled columns.
 *
 * Shape:    `columns` — each as long as y; more rows than coefficients.
 * Refuses:  'too-few-pairs', 'number-invalid', 'no-variation' (a column that is constant or follows from the others).
 * Accuracy: NIST's Longley and Norris certified values to 9 digits and more — tests/core/study/nist.test.ts.
 */
export function leastSquares(columns: readonly (readonly number[])[], y: readonly number[]): LeastSquares {
  const n = y.length;
  const terms = columns.length;
  if (n <= terms + 1)
    throw new Refusal(
      'too-few-pairs',
      `leastSquares: too few rows; got ${n}, need more than ${terms + 1}. Add measurements.`,
      { n, need: terms + 2 },
    );
  for (const column of [...columns, y]) checkValues('leastSquares', column);
  const means = columns.map(mean);
  const scales = columns.map((column) => Math.sqrt(sumOfSquares(column)));
  const x = new Matrix(y.map((_, i) => columns.map((column, j) => (column[i] - means[j]) / scales[j])));
  const meanY = mean(y);
  const qr = scales.every((scale) => scale > 0) ? new QrDecomposition(x) : null;
  if (!qr || qr.upperTriangularMatrix.diagonal().some((size) => Math.abs(size) < DEPENDENT_RATIO))
    throw new Refusal(
      'no-variation',
      'leastSquares: a column says nothing of its own; got one that is constant or follows from the others, need columns that vary apart. Leave it out.',
    );
  const scaled = qr.solve(Matrix.columnVector(y.map((value) => value - meanY))).to1DArray();
  const slopes = scaled.map((value, j) => value / scales[j]);
  const intercept = meanY - stableSum(slopes.map((slope, j) => slope * means[j]));
  const residuals = y.map(
    (value, i) => value - meanY - stableSum(slopes.map((slope, j) => slope * (columns[j][i] - means[j]))),
  );
  const rest = stableSum(residuals.map((r) => r ** 2));
  const residualSd = Math.sqrt(rest / (n - terms - 1));
  // (XᵀX)⁻¹ = R⁻¹R⁻ᵀ in the scaled columns.
  const inverse = new QrDecomposition(qr.upperTriangularMatrix).solve(Matrix.eye(terms));
  const spread = inverse.mmul(inverse.transpose());
  const slopeSe = slopes.map((_, j) => (residualSd * Math.sqrt(spread.get(j, j))) / scales[j]);
  const lever = means.map((m, j) => m / scales[j]);
  const leverage = stableSum(lever.flatMap((u, i) => lever.map((v, j) => u * v * spread.get(i, j))));
  return {
    coefficients: [intercept, ...slopes],
    standardErrors: [residualSd * Math.sqrt(1 / n + leverage), ...slopeSe],
    residualSd,
    rSquared: 1 - rest / sumOfSquares(y),
  };
}
