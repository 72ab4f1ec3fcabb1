import { describe, expect, test } from 'vitest';
import { add, scale, type Vec3 } from '../../../src/core/base/Vec3.ts';
import type { ArchMeasures, MeasureInput } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { fullArch } from '../../support/fullArch.ts';
import { TILTED } from '../../support/markArches.ts';

describe('the line that was asked for', () => {
  const input = fullArch('lower');
  const codes = (m: ArchMeasures) => m.warnings.filter((w) => w.code === 'form-not-fitted').length;
  test('only the forms asked for, the chosen one among them', () => {
    const some = measureArch({ ...input, forms: ['conic'] });
    expect(some.lines.map((l) => l.form).sort()).toEqual(['conic', 'spline']);
    expect(some.line).toEqual(measureArch(input).line);
    expect(codes(some)).toBe(0);
  });
  test('a form that cannot be had: no line of another form in its place, contacts along another all the same', () => {
    // The beta function ends at the second molars.
    const without = {
      ...input,
      form: 'beta' as const,
      marks: input.marks.filter((m) => m.tooth % 10 !== 7),
    };
    for (const measures of [measureArch(without), measureArch({ ...without, forms: [] })]) {
      expect(measures.line).toBeNull();
      expect(measures.lines.map((l) => l.form)).not.toContain('beta');
      expect(measures.lines.length).toBeGreaterThan(0);
      expect(measures.contacts.every((c) => c.alongArch !== null)).toBe(true);
      expect(codes(measures)).toBe(1);
      expect(measures.warnings.find((w) => w.code === 'form-not-fitted')!.message).toMatch(
        /beta .*second molars.*Choose another form/,
      );
    }
    const asSpline = measureArch({ ...without, form: 'spline' });
    expect(asSpline.line!.form).toBe('spline');
    expect(asSpline.warnings.find((w) => w.code === 'form-not-fitted')!.message).toMatch(/not touched/);
  });
  test('the first molar that is wanting is named', () => {
    const drop = (teeth: readonly number[]) =>
      measureArch({
        ...input,
        marks: input.marks.filter((m) => !(teeth.includes(m.tooth) && m.site === 'mesial')),
      }).warnings.find((w) => w.code === 'line-missing')!.teeth;
    expect(drop([46])).toEqual([46]);
    expect(drop([36])).toEqual([36]);
    expect(drop([46, 36])).toEqual([46, 36]);
  });
});

describe('how each result hangs on each mark', () => {
  const input = { ...fullArch('lower'), frame: TILTED };
  const { gradients, teeth } = measureArch(input);
  test('widths: outward at both ends, along the tooth', () => {
    for (const { tooth, mesialMm, distalMm, widthMm } of teeth) {
      const along = scale(add(distalMm!, scale(mesialMm!, -1)), 1 / widthMm);
      for (const site of ['mesial', 'distal'] as const) {
        const { width, mesiodistal } = gradients.find((g) => g.tooth === tooth && g.site === site)!;
        for (const axis of [0, 1, 2]) {
          expect(mesiodistal![axis]).toBeCloseTo(along[axis], 9);
          expect(width[axis]).toBeCloseTo((site === 'distal' ? 1 : -1) * along[axis], 9);
        }
      }
    }
  });
  test('lengths: moving all marks alike changes none of them, moving one changes some', () => {
    for (const [key, within] of [
      ['line', 0.002], // its gradient leaves out curvature terms of the cut-off
      ['fourSegments', 1e-6],
      ['sixSegments', 1e-6],
    ] as const) {
      const sum = gradients.reduce<Vec3>((total, g) => add(total, g[key]), [0, 0, 0]);
      for (const component of sum) expect(Math.abs(component), key).toBeLessThan(within);
      expect(Math.max(...gradients.map((g) => Math.hypot(...g[key]))), key).toBeGreaterThan(0.5);
    }
  });
  test('of marks from the patient’s right to left, and of contact points only', () => {
    expect(gradients.map((g) => `${g.tooth} ${g.site}`).slice(12, 16)).toEqual([
      '41 distal',
      '41 mesial',
      '31 mesial',
      '31 distal',
    ]);
    expect(gradients).toHaveLength(28);
  });
  test('a tooth with one contact point has no width to hang on it', () => {
    const marks = input.marks.filter((m) => !(m.tooth === 44 && m.site === 'distal'));
    const lone = measureArch({ ...input, marks }).gradients.find((g) => g.tooth === 44)!;
    expect(lone).toMatchObject({ mesiodistal: null, width: [0, 0, 0] });
  });
});

describe('what the chart says', () => {
  const input = fullArch('lower');
  const none = { ...input, marks: [] };
  test('teeth up to the first molars are asked for, unless marked, entered, missing, or held by a primary tooth', () => {
    const asked = (change: Partial<MeasureInput>) =>
      measureArch({ ...none, ...change }).warnings.find((w) => w.code === 'teeth-not-marked')?.teeth;
    const twelve = [46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36];
    const but = (gone: number) => twelve.filter((tooth) => tooth !== gone);
    expect(asked({})).toEqual(twelve);
    expect(asked({ missing: [42] })).toEqual(but(42));
    expect(asked({ enteredWidths: [{ tooth: 45, widthMm: 7, sdMm: 0.1 }] })).toEqual(but(45));
    expect(asked({ enteredWidths: [{ tooth: 75, widthMm: 9.5, sdMm: 0.1 }] })).toEqual(but(35));
    expect(asked({ marks: input.marks.filter((m) => m.tooth % 10 <= 6) })).toBeUndefined();
  });
  test('entered and marked teeth come in one row, right to left', () => {
    const marks = input.marks.filter((m) => [46, 41, 32].includes(m.tooth));
    const enteredWidths = [33, 45, 31].map((tooth) => ({ tooth, widthMm: 7, sdMm: 0.1 }));
    expect(measureArch({ ...input, marks, enteredWidths }).teeth.map((t) => t.tooth)).toEqual([
      46, 45, 41, 31, 32, 33,
    ]);
  });
  test('a width entered where nothing is marked is over no marks; one mark still lends its point', () => {
    const entered = [{ tooth: 45, widthMm: 7, sdMm: 0.1 }];
    const mesial = input.marks.filter((m) => m.tooth === 45 && m.site === 'mesial');
    const codes = (m: ArchMeasures) => m.warnings.map((w) => w.code);
    for (const marks of [[], mesial]) {
      const measures = measureArch({ ...input, marks, enteredWidths: entered });
      expect(codes(measures)).not.toContain('width-entered-over-marks');
      expect(codes(measures)).not.toContain('width-missing');
      expect(measures.teeth[0].mesialMm).toEqual(marks[0]?.pointMm ?? null);
      expect(measures.teeth[0].distalMm).toBeNull();
    }
  });
  test('a tooth with one point is short of the other', () => {
    for (const [site, other] of [
      ['mesial', 'distal'],
      ['distal', 'mesial'],
    ]) {
      const marks = input.marks.filter((m) => m.tooth === 34 && m.site === site);
      const warning = measureArch({ ...input, marks }).warnings.find((w) => w.code === 'width-missing')!;
      expect(warning.message).toContain(`its ${other} contact point`);
      expect(warning.teeth).toEqual([34]);
    }
    // A cusp alone says nothing of a width, and asks for none.
    const cusp = input.marks.filter((m) => m.tooth === 34 && m.site === 'cusp');
    expect(measureArch({ ...input, marks: cusp }).warnings.some((w) => w.code === 'width-missing')).toBe(
      false,
    );
  });
  test('exchanged sites on either side; third molars are not judged', () => {
    const swapped = (tooth: number, marks = input.marks) =>
      measureArch({
        ...input,
        marks: marks.map((m) =>
          m.tooth === tooth && (m.site === 'mesial' || m.site === 'distal')
            ? { ...m, site: m.site === 'mesial' ? 'distal' : 'mesial' }
            : m,
        ),
      }).warnings.find((w) => w.code === 'sites-exchanged')?.teeth;
    expect(swapped(34)).toEqual([34]);
    expect(swapped(44)).toEqual([44]);
    expect(swapped(37)).toEqual([37]);
    const third = input.marks.map((m) => (m.tooth === 37 ? { ...m, tooth: 38 } : m));
    expect(swapped(38, third)).toBeUndefined();
  });
});

describe('nothing where something is allowed', () => {
  const input = fullArch('lower');
  test('errors of 0 are errors of 0', () => {
    const exact = measureArch({
      ...input,
      markSdMm: 0,
      medianEdgeMm: 0,
      markSdAcrossMm: 0,
      marks: input.marks.map((m) => (m.tooth === 41 ? { ...m, sdMm: 0 } : m)),
      enteredWidths: [{ tooth: 45, widthMm: 7, sdMm: 0 }],
    });
    for (const { sdMm } of exact.teeth) expect(sdMm).toBe(0);
    expect(exact.fourSegments!.sdMm).toBe(0);
    expect(exact.line!.markSdMm).toBe(0);
  });
  test('two hundredths of a mm are a width, unusual as it is', () => {
    const [mesial, distal] = (['mesial', 'distal'] as const).map((site) => ({
      ...input.marks[0],
      tooth: 41,
      site,
      pointMm: [site === 'mesial' ? 0 : 0.02, 0, 0] as Vec3,
    }));
    expect(measureArch({ ...input, marks: [mesial, distal] }).teeth[0].widthMm).toBeCloseTo(0.02, 12);
  });
});
