import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import type { Vec3 } from '../base/Vec3.ts';

/** A rigid motion, p → turn · p + shift. */
export interface RigidMotion {
  readonly turn: readonly number[]; // 9, row by row, a rotation
  readonly shiftMm: Vec3;
}

/** A direction turned. */
export const turnedBy = ({ turn: m }: RigidMotion, [x, y, z]: Vec3): Vec3 => [
  m[0] * x + m[1] * y + m[2] * z,
  m[3] * x + m[4] * y + m[5] * z,
  m[6] * x + m[7] * y + m[8] * z,
];

/** A point moved; mm in, mm out. */
export function movedBy(motion: RigidMotion, pointMm: Vec3): Vec3 {
  const [x, y, z] = turnedBy(motion, pointMm);
  const s = motion.shiftMm;
  return [x + s[0], y + s[1], z + s[2]];
}

/** First `first`, then `then`. */
export function motionAfter(then: RigidMotion, first: RigidMotion): RigidMotion {
  const a = then.turn;
  const b = first.turn;
  const turn: number[] = [];
  for (let i = 0; i < 9; i += 3)
    for (let j = 0; j < 3; j++) turn.push(a[i] * b[j] + a[i + 1] * b[3 + j] + a[i + 2] * b[6 + j]);
  return { turn, shiftMm: movedBy(then, first.shiftMm) };
}

/** The motion back. */
export function motionBack({ turn: m, shiftMm }: RigidMotion): RigidMotion {
  const turn = [m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]];
  const [x, y, z] = turnedBy({ turn, shiftMm: [0, 0, 0] }, shiftMm);
  return { turn, shiftMm: [-x, -y, -z] };
}

/** The turn about an axis through a point by the length of `vectorRad`, then a shift. */
export function motionAbout(centreMm: Vec3, vectorRad: Vec3, shiftMm: Vec3): RigidMotion {
  const angle = Math.hypot(...vectorRad);
  const [c, s] = [Math.cos(angle), angle > 1e-12 ? Math.sin(angle) / angle : 1];
  const v = angle > 1e-12 ? (1 - c) / (angle * angle) : 0.5;
  const [x, y, z] = vectorRad;
  const turn = [
    c + v * x * x,
    v * x * y - s * z,
    v * x * z + s * y,
    v * x * y + s * z,
    c + v * y * y,
    v * y * z - s * x,
    v * x * z - s * y,
    v * y * z + s * x,
    c + v * z * z,
  ];
  const [a, b, d] = turnedBy({ turn, shiftMm: [0, 0, 0] }, centreMm);
  return {
    turn,
    shiftMm: [centreMm[0] - a + shiftMm[0], centreMm[1] - b + shiftMm[1], centreMm[2] - d + shiftMm[2]],
  };
}

/** Axis times angle of the motion's turn, radians; less than π. */
export function turnVector({ turn: m }: RigidMotion): Vec3 {
  const axis: Vec3 = [m[7] - m[5], m[2] - m[6], m[3] - m[1]];
  const sine = Math.hypot(...axis) / 2;
  const angle = Math.atan2(sine, (m[0] + m[4] + m[8] - 1) / 2);
  const by = sine > 1e-9 ? angle / (2 * sine) : 0.5;
  return [axis[0] * by, axis[1] * by, axis[2] * by];
}

/** A point, where it went, and how much it counts. */
export interface PointPair {
  readonly fromMm: Vec3;
  readonly toMm: Vec3;
  readonly weight: number;
}

/**
 * The rigid motion that brings points nearest to their partners, weighted least squares.
 *
 * Shape:    pairs — three or more, not on one line, of positive weight.
 * Units:    mm.
 * Source:   Horn 1987, J Opt Soc Am A 4: 629–642 (unit quaternion as an eigenvector); from memory, unverified.
 */
export function motionOfPoints(pairs: readonly PointPair[]): RigidMotion {
  let sum = 0;
  const [from, to] = [
    [0, 0, 0],
    [0, 0, 0],
  ];
  for (const { fromMm, toMm, weight } of pairs) {
    sum += weight;
    for (let k = 0; k < 3; k++) {
      from[k] += weight * fromMm[k];
      to[k] += weight * toMm[k];
    }
  }
  for (let k = 0; k < 3; k++) {
    from[k] /= sum;
    to[k] /= sum;
  }
  const s = new Float64Array(9);
  for (const { fromMm, toMm, weight } of pairs)
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++) s[3 * i + j] += weight * (fromMm[i] - from[i]) * (toMm[j] - to[j]);
  const quaternion = largestEigenvector([
    [s[0] + s[4] + s[8], s[5] - s[7], s[6] - s[2], s[1] - s[3]],
    [s[5] - s[7], s[0] - s[4] - s[8], s[1] + s[3], s[6] + s[2]],
    [s[6] - s[2], s[1] + s[3], s[4] - s[0] - s[8], s[5] + s[7]],
    [s[1] - s[3], s[6] + s[2], s[5] + s[7], s[8] - s[0] - s[4]],
  ]);
  const turn = turnOfQuaternion(quaternion);
  const [x, y, z] = turnedBy({ turn, shiftMm: [0, 0, 0] }, [from[0], from[1], from[2]]);
  return { turn, shiftMm: [to[0] - x, to[1] - y, to[2] - z] };
}

function largestEigenvector(rows: number[][]): number[] {
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(new Matrix(rows), {
    assumeSymmetric: true,
  });
  return eigenvectorMatrix.getColumn(realEigenvalues.indexOf(Math.max(...realEigenvalues)));
}

function turnOfQuaternion(q: readonly number[]): number[] {
  const l = Math.hypot(...q);
  const [w, x, y, z] = q.map((v) => v / l);
  return [
    1 - 2 * (y * y + z * z),
    2 * (x * y - z * w),
    2 * (x * z + y * w),
    2 * (x * y + z * w),
    1 - 2 * (x * x + z * z),
    2 * (y * z - x * w),
    2 * (x * z - y * w),
    2 * (y * z + x * w),
    1 - 2 * (x * x + y * y),
  ];
}
