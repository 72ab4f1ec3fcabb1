import type { Vec3 } from '../base/Vec3.ts';

/**
 * Eigenvalues, largest first, and unit eigenvectors of a symmetric 3 × 3 matrix given as
 * [xx, xy, xz, yy, yz, zz]. Cyclic Jacobi rotations (Jacobi 1846, J. reine angew. Math. 30:51–94,
 * from memory, unverified); 3 × 3 settles to rounding in a few sweeps.
 */
export function eigenSymmetric3(m: readonly number[]): { values: Vec3; vectors: [Vec3, Vec3, Vec3] } {
  const a = [
    [m[0], m[1], m[2]],
    [m[1], m[3], m[4]],
    [m[2], m[4], m[5]],
  ];
  const v = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  for (let sweep = 0; sweep < 30; sweep++) {
    const off = Math.abs(a[0][1]) + Math.abs(a[0][2]) + Math.abs(a[1][2]);
    if (off <= 1e-15 * (Math.abs(a[0][0]) + Math.abs(a[1][1]) + Math.abs(a[2][2]))) break;
    for (const [p, q] of [
      [0, 1],
      [0, 2],
      [1, 2],
    ]) {
      if (a[p][q] === 0) continue;
      const theta = (a[q][q] - a[p][p]) / (2 * a[p][q]);
      const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
      const c = 1 / Math.sqrt(t * t + 1);
      const s = t * c;
      for (let k = 0; k < 3; k++) {
        const x = a[k][p];
        const y = a[k][q];
        a[k][p] = c * x - s * y;
        a[k][q] = s * x + c * y;
      }
      for (let k = 0; k < 3; k++) {
        const x = a[p][k];
        const y = a[q][k];
        a[p][k] = c * x - s * y;
        a[q][k] = s * x + c * y;
      }
      for (let k = 0; k < 3; k++) {
        const x = v[k][p];
        const y = v[k][q];
        v[k][p] = c * x - s * y;
        v[k][q] = s * x + c * y;
      }
    }
  }
  const order = [0, 1, 2].sort((i, j) => a[j][j] - a[i][i]);
  const column = (i: number): Vec3 => [v[0][i], v[1][i], v[2][i]];
  return {
    values: [a[order[0]][order[0]], a[order[1]][order[1]], a[order[2]][order[2]]],
    vectors: [column(order[0]), column(order[1]), column(order[2])],
  };
}
