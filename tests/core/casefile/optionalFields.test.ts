import { describe, expect, it } from 'vitest';
import { caseJson } from '../../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import { COURSE_DEFAULTS } from '../../../src/core/reduction/motion/CourseSettings.ts';
import { fullCase } from './arbitraryCase.ts';
import { type Json, plainCase, refusalOf } from './refusedDocument.ts';

describe('fields a case may have or not', () => {
  it('keeps the SD of a mark, reads marks without one, and refuses one below 0', () => {
    const withSd = (sdMm: number | undefined) => {
      const document = fullCase();
      const lower = document.arches.lower;
      if (!lower) throw new Error('no lower arch');
      const { sdMm: _, ...mark } = lower.readings[0].marks[0];
      const marks = [sdMm === undefined ? mark : { ...mark, sdMm }];
      const readings = [{ ...lower.readings[0], marks }];
      return { ...document, arches: { upper: null, lower: { ...lower, readings, activeReading: 0 } } };
    };
    for (const sdMm of [0.08, 0, undefined]) {
      const read = readDocument(caseJson(withSd(sdMm)), 'case');
      expect(read.arches.lower?.readings[0].marks[0].sdMm).toBe(sdMm);
    }
    expect(refusalOf(JSON.stringify(withSd(-0.1))).message).toContain('marks[0].sdMm');
  });

  it('keeps the order of a blinded reading, reads readings without one, and refuses an order below 0', () => {
    const withOrder = (orderSeed: unknown) => {
      const document = fullCase();
      const lower = document.arches.lower;
      if (!lower) throw new Error('no lower arch');
      const readings = lower.readings.map((reading) => ({ ...reading, orderSeed }));
      return { ...document, arches: { upper: null, lower: { ...lower, readings } } } as typeof document;
    };
    expect(readDocument(caseJson(withOrder(4_000_000_000)), 'case').arches.lower?.readings[0].orderSeed).toBe(
      4e9,
    );
    expect(readDocument(caseJson(fullCase()), 'case').arches.lower?.readings[0]).not.toHaveProperty(
      'orderSeed',
    );
    expect(refusalOf(JSON.stringify(withOrder(-1))).message).toContain('readings[0].orderSeed');
    expect(refusalOf(JSON.stringify(withOrder('x'))).message).toContain('readings[0].orderSeed');
  });

  it('keeps own amounts, and refuses one that names a contact of the other jaw, twice, or below 0', () => {
    const document = fullCase();
    const { upper: _, lower } = document.arches;
    if (!lower) throw new Error('no lower arch');
    const withOwn = (ownTenths: unknown) =>
      ({ ...document, arches: { upper: null, lower: { ...lower, ownTenths } } }) as typeof document;
    const own = [
      { teeth: [41, 31] as const, amountMm: 0.3, reason: '' },
      { teeth: [42, 41] as const, amountMm: 0.7, reason: 'thick on the radiograph' },
    ];
    expect(readDocument(caseJson(withOwn(own)), 'case').arches.lower?.ownTenths).toEqual(own);
    expect(readDocument(caseJson(document), 'case').arches.lower).not.toHaveProperty('ownTenths');
    const path = 'arches.lower.ownTenths';
    const other = [{ teeth: [11, 21], amountMm: 0.1, reason: '' }];
    expect(refusalOf(JSON.stringify(withOwn(other))).detail.path).toBe(`${path}[0].teeth[0]`);
    expect(refusalOf(JSON.stringify(withOwn([own[0], own[0]]))).detail.path).toBe(`${path}[1]`);
    const less = [{ ...own[0], amountMm: -0.1 }];
    expect(refusalOf(JSON.stringify(withOwn(less))).detail.path).toBe(`${path}[0].amountMm`);
  });

  it('keeps how the teeth are moved, and refuses a step beyond its bounds', () => {
    const document = fullCase();
    const { lower } = document.arches;
    if (!lower) throw new Error('no lower arch');
    const withCourse = (change: object) =>
      ({
        ...document,
        arches: { upper: null, lower: { ...lower, course: { ...COURSE_DEFAULTS, ...change } } },
      }) as typeof document;
    const read = readDocument(caseJson(withCourse({ reference: 'midline', stepMm: 0.2 })), 'case');
    expect(read.arches.lower?.course).toEqual({ ...COURSE_DEFAULTS, reference: 'midline', stepMm: 0.2 });
    expect(readDocument(caseJson(document), 'case').arches.lower).not.toHaveProperty('course');
    for (const wrong of [{ stepMm: 0 }, { stagesPerVisit: 2.5 }, { reachStepMm: 9 }, { middle: 'left' }])
      expect(refusalOf(JSON.stringify(withCourse(wrong))).detail.path).toBe(
        `arches.lower.course.${Object.keys(wrong)[0]}`,
      );
  });

  it('reads a prediction at any percentile of the table and refuses one beyond it', () => {
    const document = fullCase();
    const { lower } = document.arches;
    if (!lower) throw new Error('no lower arch');
    const at = (percentile: number): typeof document => ({
      ...document,
      arches: { upper: null, lower: { ...lower, prediction: { method: 'moyers', percentile } } },
    });
    for (const percentile of [5, 62.5, 75, 95])
      expect(readDocument(caseJson(at(percentile)), 'case').arches.lower?.prediction).toEqual({
        method: 'moyers',
        percentile,
      });
    expect(refusalOf(JSON.stringify(at(96))).detail.path).toBe('arches.lower.prediction.percentile');
  });

  it('reads how both arches are planned, a midline, a radiograph, and a choice of cutting; absent they stay absent', () => {
    const base = structuredClone(fullCase());
    const { lower } = base.arches;
    if (!lower) throw new Error('no lower arch');
    const without = { ...lower.plan.contacts[0] };
    delete (without as { enamelMm?: unknown }).enamelMm;
    const withPlan = (change: object, contact: object = {}, whole: object = {}): Json =>
      JSON.parse(
        JSON.stringify({
          ...base,
          ...whole,
          arches: {
            upper: null,
            lower: {
              ...lower,
              plan: { ...lower.plan, contacts: [{ ...without, ...contact }], ...change },
            },
          },
        }),
      );
    const together = {
      isOn: true,
      ratios: 'both',
      target: 'own',
      own: { overall: null, anterior: { lowPercent: 76, highPercent: 78 } },
      extraMm: { upper: 0, lower: 0.3 },
    };
    const midline = { shiftToRightMm: -0.4, toleranceMm: 0.05 };
    const read = readDocument(
      JSON.stringify(withPlan({ midline }, { enamelMm: [0.9, null] }, { together, cutting: 'lagana-2021' })),
      'case',
    );
    expect(read.together).toEqual(together);
    expect(read.cutting).toBe('lagana-2021');
    expect(read.arches.lower?.plan.midline).toEqual(midline);
    expect(read.arches.lower?.plan.contacts[0].enamelMm).toEqual([0.9, null]);
    const path = (change: object, contact: object = {}, whole: object = {}) =>
      refusalOf(JSON.stringify(withPlan(change, contact, whole))).detail.path;
    const plan = 'arches.lower.plan';
    expect(path({}, { enamelMm: [0.9, 3.1] })).toBe(`${plan}.contacts[0].enamelMm[1]`);
    expect(path({}, { enamelMm: [-0.1, null] })).toBe(`${plan}.contacts[0].enamelMm[0]`);
    expect(path({ midline: { ...midline, toleranceMm: -1 } })).toBe(`${plan}.midline.toleranceMm`);
    const wrong = (change: object) => path({}, {}, { together: { ...together, ...change } });
    expect(wrong({ extraMm: { upper: 0, lower: -0.1 } })).toBe('together.extraMm.lower');
    const crossed = { overall: null, anterior: { lowPercent: 79, highPercent: 78 } };
    expect(wrong({ own: crossed })).toBe('together.own.anterior.highPercent');
    expect(path({}, {}, { cutting: 'by magic' })).toBe('cutting');
  });

  it('reads caliper widths, each tooth once; absent they stay absent', () => {
    const withCaliper = (caliper: unknown) => JSON.stringify({ ...structuredClone(fullCase()), caliper });
    const caliper = [
      { tooth: 41, widthMm: 5.4 },
      { tooth: 55, widthMm: 8.9 },
    ];
    expect(readDocument(withCaliper(caliper), 'case').caliper).toEqual(caliper);
    expect(readDocument(withCaliper(undefined), 'case')).not.toHaveProperty('caliper');
    const path = (wrong: unknown) => refusalOf(withCaliper(wrong)).detail.path;
    expect(path([{ tooth: 41, widthMm: 0 }])).toBe('caliper[0].widthMm');
    expect(path([{ tooth: 49, widthMm: 5 }])).toBe('caliper[0].tooth');
    expect(path([caliper[0], caliper[0]])).toMatch(/^caliper/);
  });

  it('reads primary teeth that stand where their successors are unerupted, and refuses others', () => {
    const withPrimary = (unerupted: number[], primary: number[]) => {
      const document = plainCase() as never as {
        arches: { lower: { chart: { missing: number[]; unerupted: number[]; primary?: number[] } } };
      };
      const { chart } = document.arches.lower;
      Object.assign(chart, { missing: [], unerupted, primary });
      return JSON.stringify(document);
    };
    const read = readDocument(withPrimary([35, 45], [75]), 'case');
    expect(read.arches.lower!.chart.primary).toEqual([75]);
    expect(readDocument(caseJson(read), 'case')).toEqual(read);
    const path = 'arches.lower.chart.primary';
    expect(refusalOf(withPrimary([45], [75])).detail.path).toBe(path);
    expect(refusalOf(withPrimary([35], [75, 75])).detail.path).toBe(`${path}[1]`);
    expect(refusalOf(withPrimary([35], [35])).detail.path).toBe(`${path}[0]`);
    expect(refusalOf(withPrimary([15], [55])).code).toBe('field-invalid');
  });
});
