import type { Vec2 } from '../../base/Vec3.ts';
import type { CurveFamily } from './CurveFamily.ts';

const c = new Float64Array(6);

/** t of the curve point nearest to `point`, from a guess, by Newton steps kept inside the domain. */
export function footPoint(
  family: CurveFamily,
  p: Float64Array,
  point: Vec2,
  guess: number,
  steps: number,
): number {
  const [low, high] = family.domain(p);
  let t = guess;
  for (let i = 0; i < steps; i++) {
    family.at(p, t, c);
    const dx = point[0] - c[0];
    const dy = point[1] - c[1];
    const slope = dx * c[2] + dy * c[3];
    const speed2 = c[2] * c[2] + c[3] * c[3];
    const bend = speed2 - dx * c[4] - dy * c[5];
    const move = slope / (bend > 0.3 * speed2 ? bend : speed2);
    if (!Number.isFinite(move)) return t;
    t = Math.min(high, Math.max(low, t + Math.max(-0.3, Math.min(0.3, move))));
    if (Math.abs(move) < 1e-11) break;
  }
  return t;
}

/** First guess of the foot: nearest of evenly spread samples of the curve. */
export function roughFeet(family: CurveFamily, p: Float64Array, points: readonly Vec2[]): Float64Array {
  const [low, high] = family.domain(p);
  const from = Math.max(low, -3);
  const to = Math.min(high, 3);
  const samples = 96;
  const best = new Float64Array(points.length).fill(Number.POSITIVE_INFINITY);
  const feet = new Float64Array(points.length);
  for (let k = 0; k <= samples; k++) {
    const t = from + ((to - from) * k) / samples;
    family.at(p, t, c);
    for (let i = 0; i < points.length; i++) {
      const d = (points[i][0] - c[0]) ** 2 + (points[i][1] - c[1]) ** 2;
      if (d < best[i]) {
        best[i] = d;
        feet[i] = t;
      }
    }
  }
  return feet;
}

/** Signed distance of a point from the curve at its foot; leaves the unit normal in `normal`. */
export function signedDistance(
  family: CurveFamily,
  p: Float64Array,
  point: Vec2,
  t: number,
  normal: Float64Array,
): number {
  family.at(p, t, c);
  const speed = Math.hypot(c[2], c[3]) || 1e-300;
  normal[0] = -c[3] / speed;
  normal[1] = c[2] / speed;
  return normal[0] * (point[0] - c[0]) + normal[1] * (point[1] - c[1]);
}
