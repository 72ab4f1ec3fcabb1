/**
 * Solves A x = b for a symmetric positive definite A (row by row; its lower half counts), or null. By Cholesky.
 * Rejected: ml-matrix CholeskyDecomposition on copies, whole measureArch 9.4 against 7.8 ms a call.
 */
export function solvePositive(a: Float64Array, b: Float64Array): Float64Array | null {
  const n = b.length;
  const l = Float64Array.from(a);
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = l[i * n + j];
      for (let k = 0; k < j; k++) sum -= l[i * n + k] * l[j * n + k];
      if (i !== j) l[i * n + j] = sum / l[j * n + j];
      else if (sum > 0) l[i * n + i] = Math.sqrt(sum);
      else return null;
    }
  }
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i] -= l[i * n + k] * x[k];
    x[i] /= l[i * n + i];
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i] -= l[k * n + i] * x[k];
    x[i] /= l[i * n + i];
  }
  return x.every(Number.isFinite) ? x : null;
}
