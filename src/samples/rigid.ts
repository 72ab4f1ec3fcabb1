import type { Vec3 } from '../core/base/Vec3.ts';

/** p ↦ rotation · p + translation; the rotation row by row. */
export interface Rigid {
  readonly rotation: readonly number[]; // 9
  readonly translationMm: Vec3;
}

const turnedBy = (r: readonly number[], [x, y, z]: Vec3): Vec3 => [
  r[0] * x + r[1] * y + r[2] * z,
  r[3] * x + r[4] * y + r[5] * z,
  r[6] * x + r[7] * y + r[8] * z,
];

/** A point after a motion; mm. */
export function movedBy({ rotation, translationMm: t }: Rigid, point: Vec3): Vec3 {
  const [x, y, z] = turnedBy(rotation, point);
  return [x + t[0], y + t[1], z + t[2]];
}

/** First `inner`, then `outer`. */
export const composed = (outer: Rigid, inner: Rigid): Rigid => ({
  rotation: [0, 1, 2].flatMap((i) =>
    [0, 1, 2].map((j) =>
      [0, 1, 2].reduce((sum, k) => sum + outer.rotation[i * 3 + k] * inner.rotation[k * 3 + j], 0),
    ),
  ),
  translationMm: movedBy(outer, inner.translationMm),
});

export function inverse({ rotation: r, translationMm }: Rigid): Rigid {
  const rotation = [r[0], r[3], r[6], r[1], r[4], r[7], r[2], r[5], r[8]];
  const [x, y, z] = turnedBy(rotation, translationMm);
  return { rotation, translationMm: [-x, -y, -z] };
}

/** Axis times angle of a turn by less than half a circle, right-hand rule; rad. */
export function rotationVector(r: readonly number[]): Vec3 {
  const twice: Vec3 = [r[7] - r[5], r[2] - r[6], r[3] - r[1]];
  const sine = Math.hypot(...twice) / 2;
  const angle = Math.atan2(sine, (r[0] + r[4] + r[8] - 1) / 2);
  const scale = sine < 1e-12 ? 0.5 : angle / (2 * sine);
  return [twice[0] * scale, twice[1] * scale, twice[2] * scale];
}
