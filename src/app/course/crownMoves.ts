import { type ArchFrame, sideways } from '../../core/arch/ArchFrame.ts';
import type { Tooth } from '../../core/base/tooth.ts';
import type { Vec3 } from '../../core/base/Vec3.ts';
import type { PlanePose } from '../../core/reduction/motion/StandingTooth.ts';

/** A rigid movement of the scan frame: rows of three, and how far. */
export interface RigidMove {
  readonly turn: readonly [Vec3, Vec3, Vec3];
  readonly shiftMm: Vec3;
}

export const movedPoint = ({ turn, shiftMm }: RigidMove, [x, y, z]: Vec3): Vec3 => [
  turn[0][0] * x + turn[0][1] * y + turn[0][2] * z + shiftMm[0],
  turn[1][0] * x + turn[1][1] * y + turn[1][2] * z + shiftMm[1],
  turn[2][0] * x + turn[2][1] * y + turn[2][2] * z + shiftMm[2],
];

/** The movement of a crown from one pose in the occlusal plane to another, in the scan frame. */
export function rigidMove(frame: ArchFrame, from: PlanePose, to: PlanePose): RigidMove {
  const axes = [sideways(frame), frame.forward, frame.occlusal] as const;
  const angle = to.directionRad - from.directionRad;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const inArch: readonly Vec3[] = [
    [c, -s, 0],
    [s, c, 0],
    [0, 0, 1],
  ];
  // axes · inArch · axes transposed
  const row = (i: number): Vec3 => {
    const entry = (j: number): number => {
      let sum = 0;
      for (let a = 0; a < 3; a++) for (let b = 0; b < 3; b++) sum += axes[a][i] * inArch[a][b] * axes[b][j];
      return sum;
    };
    return [entry(0), entry(1), entry(2)];
  };
  const turn = [row(0), row(1), row(2)] as const;
  const shiftInArch = [
    to.centreMm[0] - (c * from.centreMm[0] - s * from.centreMm[1]),
    to.centreMm[1] - (s * from.centreMm[0] + c * from.centreMm[1]),
    to.heightMm - from.heightMm,
  ];
  const o = frame.originMm;
  const shift = (i: number): number =>
    o[i] +
    axes[0][i] * shiftInArch[0] +
    axes[1][i] * shiftInArch[1] +
    axes[2][i] * shiftInArch[2] -
    (turn[i][0] * o[0] + turn[i][1] * o[1] + turn[i][2] * o[2]);
  return { turn, shiftMm: [shift(0), shift(1), shift(2)] };
}

/** Most crowns one arch can hold. */
const MOST_CROWNS = 20;

/** Movements as the shader takes them: one matrix for the gum, which stays, and one for each crown, column by column. */
export function moveMatrices(
  crownTeeth: readonly Tooth[],
  moves: ReadonlyMap<Tooth, RigidMove>,
): Float32Array {
  const out = new Float32Array(16 * (MOST_CROWNS + 1));
  for (let m = 0; m <= MOST_CROWNS; m++) {
    const move = m > 0 ? moves.get(crownTeeth[m - 1]) : undefined;
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) out[16 * m + 4 * j + i] = move ? move.turn[i][j] : i === j ? 1 : 0;
      out[16 * m + 12 + i] = move ? move.shiftMm[i] : 0;
    }
    out[16 * m + 15] = 1;
  }
  return out;
}
