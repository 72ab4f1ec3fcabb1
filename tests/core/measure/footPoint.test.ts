import { Matrix, solve } from 'ml-matrix';
import { describe, expect, test } from 'vitest';
import type { Vec2 } from '../../../src/core/base/Vec3.ts';
import { beta } from '../../../src/core/measure/line/beta.ts';
import type { CurveFamily } from '../../../src/core/measure/line/CurveFamily.ts';
import { catenary } from '../../../src/core/measure/line/catenary.ts';
import { conic } from '../../../src/core/measure/line/conic.ts';
import { curveLength, curveLengthFixed } from '../../../src/core/measure/line/curveLength.ts';
import { footPoint, roughFeet, signedDistance } from '../../../src/core/measure/line/footPoint.ts';
import { polynomial } from '../../../src/core/measure/line/polynomial.ts';
import { solvePositive } from '../../../src/core/measure/line/solvePositive.ts';
import { seeded } from '../../support/markArches.ts';

/** An arch of each form about 2 wide and 1.2 high, as the fits meet them. */
const ARCHES: readonly (readonly [CurveFamily, readonly number[]])[] = [
  [polynomial(4), [1.2, 0.05, -0.9, 0.03, -0.3]],
  [polynomial(6), [1.2, 0.05, -0.8, 0.03, -0.3, 0.01, -0.1]],
  [catenary, [0.4, 0.05, 1.2, -0.03]],
  [conic, [0.6, 0.4, 0.05, 1.2, 0.05]],
  [conic, [0.6, -0.2, 0.05, 1.2, 0.05]],
  [beta, [1.9, 2.5, 0.02, -0.7, 0.03]],
];
const out = new Float64Array(6);
const normal = new Float64Array(2);
const pointAt = (family: CurveFamily, p: Float64Array, t: number): Vec2 => {
  family.at(p, t, out);
  return [out[0], out[1]];
};

describe('foot of a point on a curve', () => {
  // x² = 2ρX − X² is the circle of radius ρ, its centre ρ below the apex.
  const RADIUS = 0.9;
  const circle = Float64Array.of(RADIUS, 1, 0.1, 1.1, 0.2);
  const centre = [0.1 + RADIUS * Math.sin(0.2), 1.1 - RADIUS * Math.cos(0.2)] as const;

  test('circle: distance from the centre less the radius, outside positive, along the radius', () => {
    const { uniform } = seeded(11);
    for (let i = 0; i < 200; i++) {
      const angle = 0.3 + (Math.PI - 0.6) * uniform(); // above the centre
      const away = RADIUS * (0.6 + 0.8 * uniform());
      const point: Vec2 = [centre[0] + away * Math.cos(angle), centre[1] + away * Math.sin(angle)];
      const [rough] = roughFeet(conic, circle, [point]);
      const t = footPoint(conic, circle, point, rough, 50);
      expect(signedDistance(conic, circle, point, t, normal)).toBeCloseTo(away - RADIUS, 11);
      expect(normal[0]).toBeCloseTo(Math.cos(angle), 9);
      expect(normal[1]).toBeCloseTo(Math.sin(angle), 9);
      const [x, y] = pointAt(conic, circle, t);
      expect(x).toBeCloseTo(centre[0] + RADIUS * Math.cos(angle), 9);
      expect(y).toBeCloseTo(centre[1] + RADIUS * Math.sin(angle), 9);
    }
  });

  test.each(ARCHES.map(([family, p]) => [family.form, family, Float64Array.from(p)] as const))(
    '%s: no point of the curve is nearer, and the rough guess is within a sample of it',
    (_form, family, p) => {
      const { uniform } = seeded(12);
      const [low, high] = family.domain(p);
      const [from, to] = [Math.max(low, -3), Math.min(high, 3)];
      const points = Array.from({ length: 40 }, (): Vec2 => [2.2 * uniform() - 1.1, 1.5 * uniform()]);
      const rough = roughFeet(family, p, points);
      for (const [i, point] of points.entries()) {
        let nearest = Number.POSITIVE_INFINITY;
        for (let k = 0; k <= 20_000; k++) {
          const [x, y] = pointAt(family, p, from + ((to - from) * k) / 20_000);
          nearest = Math.min(nearest, Math.hypot(point[0] - x, point[1] - y));
        }
        const guess = pointAt(family, p, rough[i]);
        const t = footPoint(family, p, point, rough[i], 60);
        const found = pointAt(family, p, t);
        const distance = Math.hypot(point[0] - found[0], point[1] - found[1]);
        expect(distance).toBeLessThan(nearest + 1e-4);
        expect(Math.hypot(point[0] - guess[0], point[1] - guess[1])).toBeGreaterThanOrEqual(nearest - 1e-9);
        expect(Math.abs(signedDistance(family, p, point, t, normal))).toBeCloseTo(distance, 6);
        expect(Math.hypot(normal[0], normal[1])).toBeCloseTo(1, 12);
      }
    },
  );

  test('stays where the curve is: the end of the legs for a point beyond them', () => {
    const p = Float64Array.from(ARCHES[5][1]);
    const [low, high] = beta.domain(p);
    expect(footPoint(beta, p, [-1.2, -9], 0, 60)).toBe(low);
    expect(footPoint(beta, p, [1.3, -9], 1, 60)).toBe(high);
    // The foot on straight legs beyond the ends is as high as the point.
    const upright = Float64Array.of(1.9, 2.5, 0, 0, 0);
    const t = footPoint(beta, upright, [1.4, -0.5], 1.05, 60);
    expect(pointAt(beta, upright, t)[1]).toBeCloseTo(-0.5, 9);
    expect(signedDistance(beta, upright, [1.4, -0.5], t, normal)).toBeCloseTo(0.15, 9);
    expect(signedDistance(beta, upright, [-1.4, -0.5], 1 - t, normal)).toBeCloseTo(0.15, 9);
  });
});

test('a fit starts from a smooth arch of the height, symmetric over its base', () => {
  for (const [family] of ARCHES)
    for (const height of [0.6, 1, 1.5]) {
      const p = family.start(height, []);
      expect(family.sound(p), family.form).toBe(true);
      const distance = (point: Vec2): number => {
        const [rough] = roughFeet(family, p, [point]);
        return Math.abs(signedDistance(family, p, point, footPoint(family, p, point, rough, 60), normal));
      };
      const within = family.form === 'beta' ? 0.15 : 1e-6; // it starts wider than its base, at second molars
      expect(distance([0, height]), family.form).toBeLessThan(1e-3);
      expect(distance([1, 0]), family.form).toBeLessThan(within);
      expect(distance([0.7, 0.5])).toBeCloseTo(distance([-0.7, 0.5]), 9);
    }
});

test('lengths add up, run backward as they run forward, and many fixed pieces give the same', () => {
  for (const [family, parameters] of ARCHES) {
    const p = Float64Array.from(parameters);
    const [from, to] = family.form === 'beta' ? [0.1, 0.9] : [-0.9, 0.8];
    const whole = curveLength(family, p, from, to);
    const middle = from + 0.3 * (to - from);
    expect(curveLength(family, p, from, middle) + curveLength(family, p, middle, to)).toBeCloseTo(whole, 9);
    expect(curveLength(family, p, to, from)).toBeCloseTo(-whole, 9);
    expect(curveLengthFixed(family, p, from, to, 40)).toBeCloseTo(whole, 9);
    expect(curveLengthFixed(family, p, to, from, 40)).toBeCloseTo(-whole, 9);
  }
});

describe('positive definite systems', () => {
  const random = seeded(13);
  const made = (n: number) => {
    const b = Matrix.from1DArray(
      n,
      n,
      Array.from({ length: n * n }, () => random.normal()),
    );
    const a = b.mmul(b.transpose()).add(Matrix.eye(n, n));
    return { a, right: Array.from({ length: n }, () => random.normal()) };
  };
  test('as ml-matrix solves them, the upper half not read', () => {
    for (const n of [1, 2, 3, 5, 9]) {
      const { a, right } = made(n);
      const lower = Float64Array.from(
        a.to1DArray().map((v, k) => (k % n > Math.floor(k / n) ? Number.NaN : v)),
      );
      const kept = [...right];
      const given = Float64Array.from(right);
      const x = solvePositive(lower, given)!;
      const expected = solve(a, Matrix.columnVector(right)).to1DArray();
      for (const [i, value] of expected.entries()) expect(x[i]).toBeCloseTo(value, 9);
      expect([...given]).toEqual(kept); // nothing is written to what was given
    }
  });
  test('none where the matrix is not positive: of nothing, indefinite, of lower rank', () => {
    const right = Float64Array.of(1, 1);
    expect(solvePositive(Float64Array.of(0, 0, 0, 0), right)).toBeNull();
    expect(solvePositive(Float64Array.of(1, 2, 2, 1), right)).toBeNull(); // eigenvalues 3 and −1
    expect(solvePositive(Float64Array.of(-1, 0, 0, 1), right)).toBeNull();
    expect(solvePositive(Float64Array.of(1, 1, 1, 1), right)).toBeNull();
    expect(
      solvePositive(Float64Array.of(1, 0, 0, 1), Float64Array.of(1, Number.POSITIVE_INFINITY)),
    ).toBeNull();
  });
});
