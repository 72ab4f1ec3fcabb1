/** A point or direction, [x, y, z]; millimetres where it is a point. */
export type Vec3 = readonly [number, number, number];

/** A point in a plane, [x, y]; millimetres. */
export type Vec2 = readonly [number, number];

export const add = (a: Vec3, b: Vec3): Vec3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const subtract = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scale = (a: Vec3, factor: number): Vec3 => [a[0] * factor, a[1] * factor, a[2] * factor];
export const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const length = (a: Vec3): number => Math.hypot(a[0], a[1], a[2]);
export const distance = (a: Vec3, b: Vec3): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
export const mix = (a: Vec3, b: Vec3, ratio: number): Vec3 => [
  a[0] + (b[0] - a[0]) * ratio,
  a[1] + (b[1] - a[1]) * ratio,
  a[2] + (b[2] - a[2]) * ratio,
];

/** The unit vector along `a`; a vector shorter than 1e-12 is a programming error and throws. */
export function normalize(a: Vec3): Vec3 {
  const l = length(a);
  if (!(l > 1e-12)) throw new Error(`normalize: got a vector of length ${l}, need more than 1e-12.`);
  return [a[0] / l, a[1] / l, a[2] / l];
}
