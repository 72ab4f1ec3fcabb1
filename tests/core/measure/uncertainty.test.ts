import { describe, expect, test } from 'vitest';
import { add, dot, scale, type Vec3 } from '../../../src/core/base/Vec3.ts';
import type { PlacedMark } from '../../../src/core/marks/Mark.ts';
import type {
  ArchForm,
  ArchMeasures,
  MarkInfluence,
  MeasureInput,
} from '../../../src/core/measure/ArchMeasures.ts';
import { markCovariance } from '../../../src/core/measure/markCovariance.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { crowdedTeeth, ellipseCurve, markArch, seeded, TILTED } from '../../support/markArches.ts';

const FORMS: readonly ArchForm[] = ['spline', 'polynomial4', 'polynomial6', 'beta', 'catenary', 'conic'];
const crowded = (form: ArchForm = 'spline'): MeasureInput => ({
  ...markArch({
    jaw: 'lower',
    curve: ellipseCurve(27, 45),
    limit: 2.2,
    teeth: crowdedTeeth('lower', 3, 5),
    frame: TILTED,
    heightMm: ([x, y]) => 0.02 * x + 0.01 * y,
  }).input,
  form,
});

const withPoint = (input: MeasureInput, tooth: number, site: string, move: Vec3): MeasureInput => ({
  ...input,
  marks: input.marks.map(
    (m): PlacedMark => (m.tooth === tooth && m.site === site ? { ...m, pointMm: add(m.pointMm, move) } : m),
  ),
});

describe('gradients against moved marks and measured again', () => {
  const AXES: readonly Vec3[] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  const STEP_MM = 1e-3;
  const input = crowded();
  const moved = measureArch(input).gradients.flatMap((g) =>
    AXES.map((axis) => ({
      g,
      axis,
      above: measureArch(withPoint(input, g.tooth, g.site, scale(axis, STEP_MM))),
      below: measureArch(withPoint(input, g.tooth, g.site, scale(axis, -STEP_MM))),
    })),
  );
  /** Largest difference of the two gradients over the largest component. */
  const mismatch = (
    stated: ArchMeasures,
    value: (m: ArchMeasures) => number,
    gradient: (g: MarkInfluence) => Vec3,
  ): number => {
    let worst = 0;
    let largest = 0;
    for (const { g, axis, above, below } of moved) {
      const own = stated.gradients.find((o) => o.tooth === g.tooth && o.site === g.site)!;
      const component = dot(gradient(own), axis);
      worst = Math.max(worst, Math.abs((value(above) - value(below)) / (2 * STEP_MM) - component));
      largest = Math.max(largest, Math.abs(component));
    }
    return worst / largest;
  };

  test.each(FORMS)('arch line, %s', (form) => {
    const length = (m: ArchMeasures): number => m.lines.find((l) => l.form === form)!.length.valueMm;
    const got = mismatch(measureArch(crowded(form)), length, (g) => g.line);
    console.info(
      `gradient of the arch line, ${form}: within ${(100 * got).toFixed(1)} % of its largest component`,
    );
    // the cut-off's own gradient leaves out curvature terms: what is missing is this small
    expect(got).toBeLessThan(0.1);
  });
  test('four and six segments', () => {
    expect(
      mismatch(
        measureArch(input),
        (m) => m.fourSegments!.valueMm,
        (g) => g.fourSegments,
      ),
    ).toBeLessThan(1e-4);
    expect(
      mismatch(
        measureArch(input),
        (m) => m.sixSegments!.valueMm,
        (g) => g.sixSegments,
      ),
    ).toBeLessThan(1e-4);
  });
  test('sum of widths', () => {
    const sum = (m: ArchMeasures): number => m.teeth.reduce((s, t) => s + t.widthMm, 0);
    expect(mismatch(measureArch(input), sum, (g) => g.width)).toBeLessThan(1e-4);
  });
});

describe('stated SD against Monte Carlo (800 draws, seed 11)', () => {
  const DRAWS = 800;
  const input: MeasureInput = { ...crowded(), markSdMm: 0.08 };
  const measures = measureArch(input);
  const random = seeded(11);
  const between = (t: { tooth: number }): boolean => t.tooth % 10 <= 5;
  const widthSum = (m: ArchMeasures): number => m.teeth.filter(between).reduce((s, t) => s + t.widthMm, 0);

  /** A draw of all marks: independent, along and across each tooth's mesiodistal direction. */
  const drawn = (): MeasureInput => ({
    ...input,
    marks: input.marks.map((m): PlacedMark => {
      const g = measures.gradients.find((x) => x.tooth === m.tooth && x.site === m.site)!;
      const any: Vec3 = [random.normal(), random.normal(), random.normal()].map(
        (v) => v * g.sdAcrossMm,
      ) as unknown as Vec3;
      const u = g.mesiodistal!;
      const along = random.normal() * g.sdAlongMm - dot(any, u);
      return { ...m, pointMm: add(m.pointMm, add(any, scale(u, along))) };
    }),
  });
  const samples = Array.from({ length: DRAWS }, () => measureArch(drawn()));
  const moments = (a: (m: ArchMeasures) => number, b = a): number => {
    const xs = samples.map(a);
    const ys = samples.map(b);
    const [mx, my] = [xs, ys].map((v) => v.reduce((s, x) => s + x, 0) / DRAWS);
    return xs.reduce((s, x, i) => s + (x - mx) * (ys[i] - my), 0) / (DRAWS - 1);
  };
  const sd = (a: (m: ArchMeasures) => number): number => Math.sqrt(moments(a));

  // an SD from 800 draws is itself good to 2.5 %; 8 % is three of that, 12 % leaves room for curvature
  test.each([
    [
      'width of 43',
      (m: ArchMeasures) => m.teeth.find((t) => t.tooth === 43)!.widthMm,
      measures.teeth.find((t) => t.tooth === 43)!.sdMm,
      0.06,
    ],
    ['four segments', (m: ArchMeasures) => m.fourSegments!.valueMm, measures.fourSegments!.sdMm, 0.08],
    ['six segments', (m: ArchMeasures) => m.sixSegments!.valueMm, measures.sixSegments!.sdMm, 0.08],
    ['depth', (m: ArchMeasures) => m.depth!.valueMm, measures.depth!.sdMm, 0.08],
    ['intercanine', (m: ArchMeasures) => m.intercanine!.valueMm, measures.intercanine!.sdMm, 0.08],
    ['midline offset', (m: ArchMeasures) => m.midlineOffset!.valueMm, measures.midlineOffset!.sdMm, 0.08],
    ['asymmetry', (m: ArchMeasures) => m.asymmetry!.valueMm, measures.asymmetry!.sdMm, 0.12],
    ['irregularity', (m: ArchMeasures) => m.irregularity!.valueMm, measures.irregularity!.sdMm, 0.12],
    ...FORMS.map(
      (form) =>
        [
          `arch line from the marks, ${form}`,
          (m: ArchMeasures) => m.lines.find((l) => l.form === form)!.length.valueMm,
          measures.lines.find((l) => l.form === form)!.markSdMm,
          form === 'spline' || form === 'conic' ? 0.12 : 0.25, // forms further from the arch weigh more sharply
        ] as const,
    ),
  ] as const)('%s', (name, value, stated, within) => {
    const drawnSd = sd(value);
    console.info(`SD of ${name}: stated ${stated.toFixed(4)}, drawn ${drawnSd.toFixed(4)} mm`);
    expect(Math.abs(stated / drawnSd - 1)).toBeLessThan(within);
  });

  test('separation of 42–41', () => {
    const of = (m: ArchMeasures) => m.contacts.find((c) => c.teeth[0] === 42)!.separation!;
    expect(Math.abs(of(measures).sdMm / sd((m) => of(m).valueMm) - 1)).toBeLessThan(0.25);
  });

  test('covariance of arch line and width sum', () => {
    const zero: Vec3 = [0, 0, 0];
    const width = (g: MarkInfluence): Vec3 => (between(g) ? g.width : zero);
    const stated = markCovariance(measures.gradients, width, (g) => g.line);
    const line = (m: ArchMeasures): number => m.line!.length.valueMm;
    const scaleMm2 = sd(line) * sd(widthSum);
    expect(Math.abs(stated - moments(line, widthSum)) / scaleMm2).toBeLessThan(0.08);
    const difference = Math.sqrt(
      markCovariance(
        measures.gradients,
        (g) => g.line,
        (g) => g.line,
      ) -
        2 * stated +
        markCovariance(measures.gradients, width, width),
    );
    expect(Math.abs(difference / sd((m) => line(m) - widthSum(m)) - 1)).toBeLessThan(0.1);
  });
});

test('a mark with its own SD counts with it', () => {
  const input = crowded();
  const marks = input.marks.map((m) => (m.tooth === 41 ? { ...m, sdMm: 0.4 } : m));
  const [plain, own] = [measureArch(input), measureArch({ ...input, marks })];
  const sdOf = (m: ArchMeasures, tooth: number) => m.teeth.find((t) => t.tooth === tooth)!.sdMm;
  expect(sdOf(own, 41)).toBeCloseTo(Math.hypot(0.4, 0.4), 2);
  expect(sdOf(own, 31)).toBe(sdOf(plain, 31));
});
