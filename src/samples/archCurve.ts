import type { Vec2 } from '../core/base/Vec3.ts';

/**
 * The curve the teeth are set along, by arc length s from its foremost point (s < 0 toward −x): its heading
 * turns as −Θ·x / (1 + |x|³)^⅓ with x = s/σ, a round front running out into nearly straight, slightly diverging
 * legs. Both numbers say something plain: 2Θ is the whole turn from leg to leg, Θ/σ the curvature at the
 * front. Our own family, so that no form offered for measuring is favoured.
 */
export interface ArchCurve {
  /** Point at arc length s; x sideways, y forward; mm. */
  point(s: number): Vec2;
  /** Unit direction of growing s. */
  direction(s: number): Vec2;
}

/** Builds the curve; accurate to 1e-9 mm over |s| ≤ 80 mm (Simpson on 0.1 mm steps, then Taylor within a step). */
export function makeArchCurve(turnRad: number, frontMm: number): ArchCurve {
  const step = 0.1;
  const half = 900;
  const heading = (s: number) => {
    const x = s / frontMm;
    return (-turnRad * x) / Math.cbrt(1 + Math.abs(x) ** 3);
  };
  const xs = new Float64Array(2 * half + 1);
  const ys = new Float64Array(2 * half + 1);
  const piece = (a: number, b: number): Vec2 => {
    const [ha, hm, hb] = [heading(a), heading((a + b) / 2), heading(b)];
    const w = (b - a) / 6;
    return [
      w * (Math.cos(ha) + 4 * Math.cos(hm) + Math.cos(hb)),
      w * (Math.sin(ha) + 4 * Math.sin(hm) + Math.sin(hb)),
    ];
  };
  for (let i = 1; i <= half; i++) {
    const right = piece((i - 1) * step, i * step);
    const left = piece(-(i - 1) * step, -i * step);
    xs[half + i] = xs[half + i - 1] + right[0];
    ys[half + i] = ys[half + i - 1] + right[1];
    xs[half - i] = xs[half - i + 1] + left[0];
    ys[half - i] = ys[half - i + 1] + left[1];
  }
  return {
    point(s) {
      const i = Math.min(Math.max(Math.round(s / step), -half), half);
      const [dx, dy] = piece(i * step, s);
      return [xs[half + i] + dx, ys[half + i] + dy];
    },
    direction(s) {
      const h = heading(s);
      return [Math.cos(h), Math.sin(h)];
    },
  };
}
