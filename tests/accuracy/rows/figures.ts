import { archOrder, type Jaw, positionOf } from '../../../src/core/base/tooth.ts';
import { beta } from '../../../src/core/measure/line/beta.ts';
import { catenary, catenaryParameter } from '../../../src/core/measure/line/catenary.ts';
import { conic } from '../../../src/core/measure/line/conic.ts';
import { curveLength } from '../../../src/core/measure/line/curveLength.ts';
import { polynomial } from '../../../src/core/measure/line/polynomial.ts';
import { toothSizeNorm } from '../../../src/core/space/toothSizeNorms.ts';
import { toothSizeRatios } from '../../../src/core/space/toothSizeRatios.ts';
import { type AccuracyGroup, errorRow } from '../AccuracyRow.ts';

const length = (family: Parameters<typeof curveLength>[0], p: readonly number[], from: number, to: number) =>
  curveLength(family, Float64Array.from(p), from, to);

const parabola = (w: number, d: number) =>
  length(conic, [w ** 2 / (8 * d), 0, 0, 0, 0], (-2 * d) / w, (2 * d) / w);
const hanging = (w: number, d: number) => {
  const a = catenaryParameter(w / 2, d);
  const half = a * Math.sinh(w / 2 / a);
  return length(catenary, [a, 0, 0, 0], -half, half);
};
const ellipse = (wide: number, deep: number) => {
  const q = (wide / deep) ** 2;
  return 2 * length(conic, [deep * q, q, 0, 0, 0], -deep / wide, deep / wide);
};
const sixth = (a: number, b: number, half: number) =>
  length(polynomial(6), [0, 0, -b, 0, 0, 0, -a], -half, half);

/** Closed forms and independent quadrature agree on these to the digits given. */
const LENGTHS: readonly (readonly [got: () => number, exactMm: number])[] = [
  [() => length(polynomial(4), [0, 0, 1, 0, 0], 0, 1), 1.4789428575446],
  [() => length(polynomial(4), [0, 0, 1, 0, 0], 0, 2), 4.6467837624329],
  [() => parabola(40, 30), 75.368529598248],
  [() => parabola(50, 35), 89.984173210791],
  [() => parabola(26, 8), 31.553240436296],
  [() => hanging(40, 30), 76.702457607107],
  [() => hanging(50, 35), 91.492899489595],
  [() => hanging(26, 8), 31.694292074642],
  [() => ellipse(30, 20) / 2, 79.327197946453],
  [() => ellipse(2, 1), 9.688448220548],
  [() => ellipse(3, 2), 15.865439589291],
  [() => ellipse(5, 3), 25.526998863398],
  [() => ellipse(10, 1), 40.639741801009],
  [() => length(beta, [40, 54, 0, 0, 0], 0, 1), 102.379954744],
  [() => length(beta, [30, 50, 0, 0, 0], 0, 1), 83.092964817],
  [() => sixth(2.1369920059e-8, 0.0293570314189, 30), 111.335864903],
  [() => sixth(3.3056080366e-8, 0.0345588438685, 27), 100.197665681],
];

const mirrored = (half: readonly number[]): readonly number[] => [...half, ...[...half].reverse()];

/** Handbook means, means of Black 1902 (from memory, unverified) and two constructed sets; percent. */
const RATIO_SETS = [
  [mirrored([10, 7, 7, 7.5, 6.5, 8.5]), mirrored([11, 7, 7, 7, 5.5, 5]), 91.3978, 77.7778],
  [mirrored([10.7, 6.8, 7.2, 7.6, 6.4, 9]), mirrored([11.2, 7.1, 6.9, 6.9, 5.9, 5.4]), 90.9853, 79.1304],
  [
    [10.4, 6.9, 7.2, 8, 6.8, 8.9, 8.8, 6.6, 7.9, 7.3, 7, 10.5],
    [11.3, 7.4, 7.2, 7.1, 6.2, 5.7, 5.6, 6.1, 7, 7.3, 7.5, 11.2],
    93.0426,
    80.2128,
  ],
  [
    [10.83, 7.21, 7.42, 8.17, 7.36, 9.24, 9.19, 7.41, 8.22, 7.38, 7.16, 10.77],
    [11.02, 7.05, 6.94, 6.78, 5.74, 5.18, 5.22, 5.71, 6.83, 6.98, 7.11, 11.08],
    85.3328,
    71.5064,
  ],
] as const;

const widths = (jaw: Jaw, values: readonly number[]) =>
  archOrder(jaw)
    .filter((tooth) => positionOf(tooth) <= 6)
    .map((tooth, i) => ({ tooth, widthMm: values[i], sdMm: 0 }));

/** Figures against figures: no surface in it. */
export const figures: AccuracyGroup = {
  name: 'figures',
  rows: async () => {
    const errors = RATIO_SETS.flatMap(([upper, lower, overall, anterior]) => {
      const found = toothSizeRatios({
        upper: widths('upper', upper),
        lower: widths('lower', lower),
        norm: toothSizeNorm('bolton-1958')!,
      });
      return [found.overall.percent! - overall, found.anterior.percent! - anterior];
    });
    const worstPercent = Math.max(...errors.map(Math.abs));
    return [
      errorRow({
        what: 'Length of a curve',
        surface: 'none',
        on: 'closed forms: parabola, catenary, ellipse, beta, polynomials of degree 4 and 6',
        errors: LENGTHS.map(([got, exact]) => got() - exact),
        worstBound: 1e-8,
        test: 'tests/core/measure/curveLength.test.ts',
      }),
      {
        what: 'Tooth-size ratios',
        surface: 'none',
        on: 'four sets of 24 widths: two of published means, two constructed; expected to four decimals',
        n: errors.length,
        typical: '–',
        worst: `${worstPercent.toFixed(5)} points of percent`,
        bound: '0.00005 points of percent',
        holds: worstPercent <= 5e-5,
        test: 'tests/core/space/toothSizeRatios.test.ts',
      },
    ];
  },
};
