import { describe, expect, test } from 'vitest';
import { beta } from '../../../src/core/measure/line/beta.ts';
import type { CurveFamily } from '../../../src/core/measure/line/CurveFamily.ts';
import { catenary, catenaryParameter } from '../../../src/core/measure/line/catenary.ts';
import { conic } from '../../../src/core/measure/line/conic.ts';
import { curveLength } from '../../../src/core/measure/line/curveLength.ts';
import { polynomial } from '../../../src/core/measure/line/polynomial.ts';
import { spline } from '../../../src/core/measure/line/spline.ts';

const of = (family: CurveFamily, parameters: readonly number[], from: number, to: number): number =>
  curveLength(family, Float64Array.from(parameters), from, to);

/** A curve from its point and derivative, only for lengths. */
const plain = (x: (t: number) => number, y: (t: number) => number): CurveFamily => ({
  ...polynomial(4),
  at(_p, t, out) {
    out[2] = x(t);
    out[3] = y(t);
  },
});

const SIX = 1e-9; // A and B are quoted to eleven digits, the lengths to 1e-9

// Closed forms and independent quadrature (SciPy) agree on these to the digits given.
describe('curve lengths against closed forms', () => {
  const poly4 = polynomial(4);
  const parabola = (w: number, d: number) =>
    of(conic, [w ** 2 / (8 * d), 0, 0, 0, 0], (-2 * d) / w, (2 * d) / w);
  const hanging = (w: number, d: number) => {
    const a = catenaryParameter(w / 2, d);
    const half = a * Math.sinh(w / 2 / a);
    return { a, length: of(catenary, [a, 0, 0, 0], -half, half) };
  };
  const halfEllipse = (wide: number, deep: number) => {
    const q = (wide / deep) ** 2;
    return of(conic, [deep * q, q, 0, 0, 0], -deep / wide, deep / wide);
  };
  const wholeBeta = (d: number, w: number) => of(beta, [d, w, 0, 0, 0], 0, 1);
  const sixth = (a: number, b: number, half: number) =>
    of(polynomial(6), [0, 0, -b, 0, 0, 0, -a], -half, half);

  test.each([
    ['y = x², 0..1', of(poly4, [0, 0, 1, 0, 0], 0, 1), 1.4789428575446, 1e-12],
    ['y = x², 0..2', of(poly4, [0, 0, 1, 0, 0], 0, 2), 4.6467837624329, 1e-12],
    ['parabola 40 wide, 30 deep', parabola(40, 30), 75.368529598248, 1e-11],
    ['parabola 50 wide, 35 deep', parabola(50, 35), 89.984173210791, 1e-11],
    ['parabola 26 wide, 8 deep', parabola(26, 8), 31.553240436296, 1e-11],
    ['cosh x, −1..1', of(catenary, [1, 0, 0, 0], -Math.sinh(1), Math.sinh(1)), 2.3504023872876, 1e-12],
    [
      'catenary a = 10, x ±20',
      of(catenary, [10, 0, 0, 0], -10 * Math.sinh(2), 10 * Math.sinh(2)),
      72.5372081569404,
      1e-11,
    ],
    ['catenary 40 wide, 30 deep', hanging(40, 30).length, 76.702457607107, 1e-10],
    ['catenary 50 wide, 35 deep', hanging(50, 35).length, 91.492899489595, 1e-10],
    ['catenary 26 wide, 8 deep', hanging(26, 8).length, 31.694292074642, 1e-10],
    ['half ellipse 30, 20', halfEllipse(30, 20), 79.327197946453, 1e-10],
    ['ellipse 2, 1', 2 * halfEllipse(2, 1), 9.688448220548, 1e-11],
    ['ellipse 3, 2', 2 * halfEllipse(3, 2), 15.865439589291, 1e-11],
    ['ellipse 5, 3', 2 * halfEllipse(5, 3), 25.526998863398, 1e-11],
    ['ellipse 10, 1', 2 * halfEllipse(10, 1), 40.639741801009, 1e-10],
    ['beta 40 deep, 54 wide', wholeBeta(40, 54), 102.379954744, 1e-9],
    ['beta 30 deep, 50 wide', wholeBeta(30, 50), 83.092964817, 1e-9],
    [
      'Ax⁶ + Bx², canine 34/9, molar 60/42',
      sixth(2.1369920059e-8, 0.0293570314189, 30),
      111.335864903,
      SIX * 10,
    ],
    [
      'Ax⁶ + Bx², canine 26/6, molar 54/38',
      sixth(3.3056080366e-8, 0.0345588438685, 27),
      100.197665681,
      SIX * 10,
    ],
    [
      'circle r 30, 120°',
      of(
        plain(
          (t) => -30 * Math.sin(t),
          (t) => 30 * Math.cos(t),
        ),
        [0],
        0,
        (2 * Math.PI) / 3,
      ),
      62.8318530717959,
      1e-11,
    ],
    [
      'astroid a = 1',
      4 *
        of(
          plain(
            (t) => -3 * Math.cos(t) ** 2 * Math.sin(t),
            (t) => 3 * Math.sin(t) ** 2 * Math.cos(t),
          ),
          [0],
          0,
          Math.PI / 2,
        ),
      6,
      1e-11,
    ],
    [
      'cycloid r = 1',
      of(
        plain(
          (t) => 1 - Math.cos(t),
          (t) => Math.sin(t),
        ),
        [0],
        0,
        2 * Math.PI,
      ),
      8,
      1e-11,
    ],
  ])('%s', (_name, got, exact, within) => {
    expect(Math.abs(got - exact)).toBeLessThanOrEqual(within);
  });

  test('catenary parameters and sag', () => {
    expect(hanging(40, 30).a).toBeCloseTo(9.513612512372, 9);
    expect(hanging(50, 35).a).toBeCloseTo(12.396252346476, 9);
    expect(hanging(26, 8).a).toBeCloseTo(11.695752345511, 9);
    const out = new Float64Array(6);
    catenary.at(Float64Array.of(10, 0, 0, 0), 10 * Math.sinh(2), out);
    expect(-out[1]).toBeCloseTo(27.6219569108363, 10);
  });

  // Braun S et al., Angle Orthod 1998;68:29–36 (equation from memory); ordinates computed from the equation.
  test('beta ordinates', () => {
    // t is found by halving, so the ordinate is taken at the given x
    const y = (d: number, w: number, share: number) => {
      const out = new Float64Array(6);
      let [low, high] = [0, 1];
      for (let i = 0; i < 60; i++) {
        beta.at(Float64Array.of(d, w, 0, 0, 0), (low + high) / 2, out);
        if (out[0] < share * w) low = (low + high) / 2;
        else high = (low + high) / 2;
      }
      return out[1];
    };
    expect(y(40, 54, 0)).toBeCloseTo(39.999562807, 8);
    expect(y(40, 54, 0.25)).toBeCloseTo(31.776367918, 8);
    expect(y(40, 54, 0.4)).toBeCloseTo(17.664333078, 8);
    expect(y(30, 50, 0.25)).toBeCloseTo(23.832275938, 8);
  });
});

// The fits stand on these derivatives; central differences are the second way.
describe('every family: derivatives', () => {
  const cases: readonly [CurveFamily, readonly number[], readonly number[]][] = [
    [polynomial(4), [1.2, 0.1, -0.8, 0.05, -0.1], [-0.9, 0, 0.7]],
    [polynomial(6), [1.2, 0.1, -0.8, 0.05, -0.1, 0.02, -0.03], [-0.9, 0, 0.7]],
    [beta, [1.8, 2.5, 0.05, -0.6, 0.04], [-0.1, 0.2, 0.7, 1.1]],
    [catenary, [0.4, 0.05, 1.2, -0.03], [-1.5, 0.1, 1.2]],
    [conic, [0.6, 0.4, 0.05, 1.2, 0.05], [-1.1, 0, 0.8]],
    [conic, [0.6, -0.2, 0.05, 1.2, 0.05], [-1.1, 0, 0.8]],
    [
      spline,
      Array.from({ length: spline.parameterCount }, (_, k) => 1.3 + 0.1 * Math.sin(k)),
      [-1.3, 0.03, 0.9],
    ],
  ];
  test.each(cases.map(([family, p, ts]) => [family.form, family, p, ts] as const))(
    '%s',
    (_form, family, p, ts) => {
      const parameters = Float64Array.from(p);
      const at = (t: number, q = parameters): Float64Array => {
        const out = new Float64Array(6);
        family.at(q, t, out);
        return out;
      };
      const h = 1e-5;
      for (const t of ts) {
        const here = at(t);
        for (let k = 0; k < 4; k++)
          expect(here[k + 2]).toBeCloseTo((at(t + h)[k] - at(t - h)[k]) / (2 * h), 6);
        const partial = new Float64Array(2 * family.parameterCount);
        family.byParameter(parameters, t, partial);
        for (let k = 0; k < family.parameterCount; k++) {
          const [above, below] = [h, -h].map((d) =>
            at(
              t,
              parameters.map((v, i) => (i === k ? v + d : v)),
            ),
          );
          expect(partial[2 * k]).toBeCloseTo((above[0] - below[0]) / (2 * h), 7);
          expect(partial[2 * k + 1]).toBeCloseTo((above[1] - below[1]) / (2 * h), 7);
        }
      }
    },
  );
});
