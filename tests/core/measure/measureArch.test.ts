import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { archFrame } from '../../../src/core/arch/ArchFrame.ts';
import { Refusal } from '../../../src/core/base/refusal.ts';
import { add, cross, dot, normalize, scale, type Vec3 } from '../../../src/core/base/Vec3.ts';
import type { PlacedMark } from '../../../src/core/marks/Mark.ts';
import type { ArchMeasures, Estimate, MeasureInput } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { fullArch } from '../../support/fullArch.ts';
import { crowdedTeeth, ellipseCurve, markArch, TILTED, UPRIGHT } from '../../support/markArches.ts';

/** Every number of mm in the measures, named; SDs and gradients as well. */
function numbers(m: ArchMeasures): Map<string, number> {
  const all = new Map<string, number>();
  const put = (name: string, e: Estimate | null) => {
    all.set(name, e?.valueMm ?? Number.NaN);
    all.set(`${name} sd`, e?.sdMm ?? Number.NaN);
  };
  for (const t of m.teeth) {
    put(`width ${t.tooth}`, { valueMm: t.widthMm, sdMm: t.sdMm });
    all.set(`occlusal width ${t.tooth}`, t.widthOcclusalMm ?? Number.NaN);
  }
  for (const c of m.contacts) {
    put(`separation ${c.teeth}`, c.separation);
    put(`displacement ${c.teeth}`, c.displacement);
  }
  for (const l of m.lines) {
    put(`line ${l.form}`, l.length);
    all.set(`rms ${l.form}`, l.fitRmsMm);
    all.set(`mark sd ${l.form}`, l.markSdMm);
    all.set(`scatter sd ${l.form}`, l.scatterSdMm);
    all.set(`chord excess ${l.form}`, l.chordExcessMm);
    for (const w of l.weights) {
      all.set(`along ${l.form} ${w.tooth} ${w.site}`, w.alongMm);
      all.set(`outward ${l.form} ${w.tooth} ${w.site}`, w.outwardMm);
    }
  }
  for (const key of [
    'fourSegments',
    'sixSegments',
    'irregularity',
    'depth',
    'intercanine',
    'interpremolar',
    'intermolar',
    'speeDepthRight',
    'speeDepthLeft',
    'midlineOffset',
    'asymmetry',
  ] as const)
    put(key, m[key]);
  return all;
}

/** Largest difference between two sets of numbers, after `relate` on the first. */
function apart(
  a: Map<string, number>,
  b: Map<string, number>,
  relate = (x: number, _n: string) => x,
): number {
  expect([...b.keys()].sort()).toEqual([...a.keys()].sort());
  let worst = 0;
  for (const [name, x] of a) worst = Math.max(worst, Math.abs(relate(x, name) - b.get(name)!));
  return worst;
}

const mapped = (input: MeasureInput, move: (p: Vec3) => Vec3): readonly PlacedMark[] =>
  input.marks.map((m) => ({ ...m, pointMm: move(m.pointMm) }));

const RUNS = { seed: 20_240_611, numRuns: 12 };
const unit = fc.double({ min: -1, max: 1, noNaN: true });
const rotation = fc
  .tuple(unit, unit, unit, unit)
  .filter((q) => Math.hypot(...q) > 0.1)
  .map((q): ((v: Vec3) => Vec3) => {
    const n = Math.hypot(...q);
    const [w, x, y, z] = q.map((v) => v / n);
    const axis: Vec3 = [x, y, z];
    return (v) =>
      add(
        add(scale(axis, 2 * dot(axis, v)), scale(v, w * w - dot(axis, axis))),
        scale(cross(axis, v), 2 * w),
      );
  });

describe.each(['lower', 'upper'] as const)('laws, %s arch', (jaw) => {
  const input = fullArch(jaw);
  const base = measureArch(input);
  const baseNumbers = numbers(base);

  test('every measure of a full arch is had', () => {
    for (const [name, value] of baseNumbers) expect.soft(Number.isFinite(value), name).toBe(true);
    expect(base.lines).toHaveLength(6);
    expect(base.contacts).toHaveLength(13);
    expect(base.teeth).toHaveLength(14);
  });

  test('moving scan and frame together changes nothing', () => {
    fc.assert(
      fc.property(rotation, fc.tuple(unit, unit, unit), (turn, [x, y, z]) => {
        const by: Vec3 = [200 * x, 200 * y, 200 * z];
        const { originMm, occlusal, forward } = input.frame;
        const frame = {
          originMm: add(turn(originMm), by),
          occlusal: normalize(turn(occlusal)),
          forward: normalize(turn(forward)),
        };
        const moved = { ...input, frame, marks: mapped(input, (p) => add(turn(p), by)) };
        expect(apart(baseNumbers, numbers(measureArch(moved)))).toBeLessThan(1e-5);
      }),
      RUNS,
    );
  });

  test('where the frame stands in its plane, and which way it faces by a little, changes only the axes', () => {
    fc.assert(
      fc.property(unit, unit, unit, (x, y, turn) => {
        const a = 0.2 * turn;
        const frame = archFrame([30 * x, 30 * y, 0], [0, 0, 1], [Math.sin(a), Math.cos(a), 0]);
        expect(apart(baseNumbers, numbers(measureArch({ ...input, frame })))).toBeLessThan(1e-5);
      }),
      RUNS,
    );
  });

  test('scaling by k scales every mm by k', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.4, max: 2.5, noNaN: true }), (k) => {
        const scaled: MeasureInput = {
          ...input,
          markSdMm: k * input.markSdMm,
          medianEdgeMm: k * input.medianEdgeMm,
          marks: mapped(input, (p) => scale(p, k)),
        };
        expect(apart(baseNumbers, numbers(measureArch(scaled)), (v) => k * v)).toBeLessThan(1e-4);
      }),
      RUNS,
    );
  });

  test('mirroring swaps right and left', () => {
    const other = (tooth: number): number => tooth + (Math.floor(tooth / 10) % 2 === 1 ? 1 : -1) * 10;
    const mirrored = measureArch({
      ...input,
      marks: input.marks.map((m) => ({
        ...m,
        tooth: other(m.tooth),
        pointMm: [-m.pointMm[0], m.pointMm[1], m.pointMm[2]],
      })),
    });
    for (const t of base.teeth)
      expect(mirrored.teeth.find((o) => o.tooth === other(t.tooth))!.widthMm).toBeCloseTo(t.widthMm, 10);
    for (const c of base.contacts) {
      const twin = mirrored.contacts.find(
        (o) => o.teeth[0] === other(c.teeth[1]) && o.teeth[1] === other(c.teeth[0]),
      )!;
      expect(twin.separation!.valueMm).toBeCloseTo(c.separation!.valueMm, 6);
      expect(twin.displacement!.valueMm).toBeCloseTo(c.displacement!.valueMm, 9);
    }
    for (const l of base.lines)
      expect(mirrored.lines.find((o) => o.form === l.form)!.length.valueMm).toBeCloseTo(l.length.valueMm, 6);
    for (const key of [
      'fourSegments',
      'sixSegments',
      'irregularity',
      'depth',
      'intercanine',
      'interpremolar',
      'intermolar',
      'asymmetry',
    ] as const) {
      expect(mirrored[key]!.valueMm).toBeCloseTo(base[key]!.valueMm, 8);
      expect(mirrored[key]!.sdMm).toBeCloseTo(base[key]!.sdMm, 5);
    }
    expect(mirrored.speeDepthLeft!.valueMm).toBeCloseTo(base.speeDepthRight!.valueMm, 9);
    expect(mirrored.midlineOffset!.valueMm).toBeCloseTo(-base.midlineOffset!.valueMm, 9);
  });

  test('the order of the marks is irrelevant, to the bit', () => {
    fc.assert(
      fc.property(fc.shuffledSubarray([...input.marks], { minLength: input.marks.length }), (marks) => {
        expect(measureArch({ ...input, marks })).toEqual(base);
      }),
      RUNS,
    );
  });

  test('the same marks give the same bits', () => {
    expect(measureArch(fullArch(jaw))).toEqual(base);
  });
});

describe('evidence and state', () => {
  const input = fullArch('lower');
  test('numbers keep the points they rest on', () => {
    const measures = measureArch(input);
    for (const t of measures.teeth) {
      expect(t.mesialMm).toEqual(
        input.marks.find((m) => m.tooth === t.tooth && m.site === 'mesial')!.pointMm,
      );
      expect(t.distalMm).toEqual(
        input.marks.find((m) => m.tooth === t.tooth && m.site === 'distal')!.pointMm,
      );
    }
    const midline = measures.contacts.find((c) => c.teeth[0] === 41)!;
    expect(midline.teeth).toEqual([41, 31]);
    expect(midline.pointsMm![0]).toEqual(measures.teeth.find((t) => t.tooth === 41)!.mesialMm);
    expect(midline.pointsMm![1]).toEqual(measures.teeth.find((t) => t.tooth === 31)!.mesialMm);
  });
  test('one proposed mark makes the width proposed, with the lower confidence', () => {
    const marks = input.marks.map(
      (m): PlacedMark =>
        m.tooth === 35
          ? {
              ...m,
              state: m.site === 'distal' ? 'proposed' : 'confirmed',
              confidence: m.site === 'distal' ? 0.4 : 0.9,
            }
          : m,
    );
    const tooth = measureArch({ ...input, marks }).teeth.find((t) => t.tooth === 35)!;
    expect(tooth).toMatchObject({ source: 'proposed', confidence: 0.4 });
  });
  test('an entered width holds over marks, and it is said', () => {
    const measures = measureArch({ ...input, enteredWidths: [{ tooth: 45, widthMm: 7.4, sdMm: 0.2 }] });
    expect(measures.teeth.find((t) => t.tooth === 45)).toMatchObject({
      widthMm: 7.4,
      sdMm: 0.2,
      source: 'entered',
      widthOcclusalMm: null,
    });
    expect(measures.warnings.map((w) => w.code)).toContain('width-entered-over-marks');
    expect(measures.gradients.find((g) => g.tooth === 45)!.width).toEqual([0, 0, 0]);
  });
  test('an unerupted tooth counts with its entered width and has no contacts', () => {
    const without = input.marks.filter((m) => m.tooth !== 35);
    const measures = measureArch({
      ...input,
      marks: without,
      missing: [35],
      enteredWidths: [{ tooth: 35, widthMm: 7.1, sdMm: 0.3 }],
    });
    expect(measures.teeth.find((t) => t.tooth === 35)).toMatchObject({
      widthMm: 7.1,
      source: 'entered',
      mesialMm: null,
    });
    expect(measures.contacts.some((c) => c.teeth.includes(35))).toBe(false);
    expect(measures.gaps.map((g) => g.teeth)).toEqual([[34, 36]]);
  });
});

describe('what cannot be had is null, and named', () => {
  const input = fullArch('lower');
  const NEEDS: readonly [string, keyof ArchMeasures, (m: PlacedMark) => boolean, string][] = [
    ['canine mesial', 'fourSegments', (m) => m.tooth === 43 && m.site === 'mesial', 'four-segments-missing'],
    ['canine distal', 'sixSegments', (m) => m.tooth === 33 && m.site === 'distal', 'six-segments-missing'],
    ['an incisor', 'irregularity', (m) => m.tooth === 32, 'irregularity-missing'],
    ['a central', 'depth', (m) => m.tooth === 31, 'depth-missing'],
    ['a canine', 'intercanine', (m) => m.tooth === 33, 'intercanine-missing'],
    ['a premolar', 'interpremolar', (m) => m.tooth === 44, 'interpremolar-missing'],
    ['a first molar', 'intermolar', (m) => m.tooth === 46, 'intermolar-missing'],
    ['all cusps', 'speeDepthLeft', (m) => m.site === 'cusp', 'spee-missing'],
    ['edges', 'speeDepthRight', (m) => m.site === 'incisal', 'spee-missing'],
    ['a central’s mesial', 'midlineOffset', (m) => m.tooth === 41 && m.site === 'mesial', 'midline-missing'],
    ['one side', 'asymmetry', (m) => m.tooth >= 40 && m.tooth <= 46, 'asymmetry-missing'],
    ['first molar mesial', 'line', (m) => m.tooth === 36 && m.site === 'mesial', 'line-missing'],
  ];
  test.each(NEEDS)('without %s: %s', (_what, key, drop, code) => {
    const measures = measureArch({ ...input, marks: input.marks.filter((m) => !drop(m)) });
    expect(measures[key]).toBeNull();
    const warning = measures.warnings.find((w) => w.code === code);
    expect(warning?.message.length).toBeGreaterThan(20);
  });
  test('no marks at all', () => {
    const measures = measureArch({ ...input, marks: [] });
    expect(measures.teeth).toEqual([]);
    expect(measures.line).toBeNull();
    expect(measures.warnings.find((w) => w.code === 'teeth-not-marked')?.teeth).toHaveLength(12);
  });
  test('half a tooth', () => {
    const measures = measureArch({
      ...input,
      marks: input.marks.filter((m) => !(m.tooth === 42 && m.site === 'distal')),
    });
    expect(measures.teeth.some((t) => t.tooth === 42)).toBe(false);
    expect(measures.warnings.find((w) => w.code === 'width-missing')?.teeth).toEqual([42]);
    expect(measures.contacts.find((c) => c.teeth[1] === 42)).toMatchObject({
      separation: null,
      displacement: null,
    });
    expect(measures.contacts.find((c) => c.teeth[0] === 42)?.separation).not.toBeNull();
  });
  test('chart against marks', () => {
    const measures = measureArch({ ...input, missing: [33] });
    expect(measures.warnings.find((w) => w.code === 'missing-but-marked')?.teeth).toEqual([33]);
  });
  test('exchanged sites', () => {
    const swap = { mesial: 'distal', distal: 'mesial', cusp: 'cusp', incisal: 'incisal' } as const;
    const marks = input.marks.map((m) => (m.tooth === 44 ? { ...m, site: swap[m.site] } : m));
    expect(
      measureArch({ ...input, marks }).warnings.find((w) => w.code === 'sites-exchanged')?.teeth,
    ).toEqual([44]);
    expect(measureArch(input).warnings.some((w) => w.code === 'sites-exchanged')).toBe(false);
  });
});

describe('refusals', () => {
  const input = fullArch('lower');
  const refusal = (change: Partial<MeasureInput>): Refusal => {
    try {
      measureArch({ ...input, ...change });
    } catch (error) {
      if (error instanceof Refusal) return error;
      throw error;
    }
    throw new Error('not refused');
  };
  const mark = (tooth: number, pointMm: Vec3 = [0, 0, 0], more: Partial<PlacedMark> = {}): PlacedMark => ({
    tooth,
    site: 'mesial',
    pointMm,
    state: 'confirmed',
    confidence: null,
    ...more,
  });
  const without41 = input.marks.filter((m) => m.tooth !== 41);
  test.each([
    ['no such tooth', { marks: [mark(49)] }, 'tooth-unknown', '49'],
    ['not a number of a tooth', { marks: [mark(31.5)] }, 'tooth-unknown', '31.5'],
    ['missing list', { missing: [90] }, 'tooth-unknown', '90'],
    ['other jaw', { marks: [...input.marks, mark(11)] }, 'jaw-mismatch', '11'],
    ['other jaw, entered', { enteredWidths: [{ tooth: 24, widthMm: 7, sdMm: 0.1 }] }, 'jaw-mismatch', '24'],
    [
      'coincident',
      { marks: [...without41, mark(41, [1, 2, 3]), mark(41, [1, 2, 3.0005], { site: 'distal' })] },
      'marks-coincide',
      '41',
    ],
    ['NaN point', { marks: [...without41, mark(41, [Number.NaN, 0, 0])] }, 'number-invalid', '41'],
    [
      'infinite point',
      { marks: [...without41, mark(41, [0, Number.POSITIVE_INFINITY, 0])] },
      'number-invalid',
      '41',
    ],
    ['twice', { marks: [...input.marks, mark(41)] }, 'field-invalid', '41'],
    ['negative SD', { markSdMm: -0.1 }, 'number-invalid', '-0.1'],
    ['SD that is none', { markSdMm: Number.NaN }, 'number-invalid', 'NaN'],
    ['endless SD', { markSdMm: Number.POSITIVE_INFINITY }, 'number-invalid', 'Infinity'],
    ['SD across', { markSdAcrossMm: -0.2 }, 'number-invalid', '-0.2'],
    ['mesh spacing', { medianEdgeMm: -0.3 }, 'number-invalid', '-0.3'],
    ['negative SD of a mark', { marks: [mark(41, [0, 0, 0], { sdMm: -0.1 })] }, 'number-invalid', '41'],
    [
      'endless SD of a mark',
      { marks: [mark(41, [0, 0, 0], { sdMm: Number.POSITIVE_INFINITY })] },
      'number-invalid',
      '41',
    ],
    [
      'endless width',
      { enteredWidths: [{ tooth: 34, widthMm: Number.POSITIVE_INFINITY, sdMm: 0.1 }] },
      'number-invalid',
      '34',
    ],
    ['width’s SD', { enteredWidths: [{ tooth: 34, widthMm: 7, sdMm: -0.1 }] }, 'number-invalid', '34'],
    [
      'endless SD of a width',
      { enteredWidths: [{ tooth: 34, widthMm: 7, sdMm: Number.POSITIVE_INFINITY }] },
      'number-invalid',
      '34',
    ],
    ['SD of a mark', { marks: [mark(41, [0, 0, 0], { sdMm: Number.NaN })] }, 'number-invalid', '41'],
    ['entered width 0', { enteredWidths: [{ tooth: 34, widthMm: 0, sdMm: 0.1 }] }, 'number-invalid', '34'],
  ] as const)('%s', (_name, change, code, named) => {
    const got = refusal(change);
    expect(got.code).toBe(code);
    expect(got.message).toMatch(/^measureArch: /);
    expect(got.message).toContain(named);
  });
});

test('a tilted frame measures the same arch', () => {
  const make = (frame = UPRIGHT) =>
    markArch({
      jaw: 'upper',
      curve: ellipseCurve(27, 45),
      limit: 2.2,
      teeth: crowdedTeeth('upper', 4, 9),
      frame,
    }).input;
  expect(apart(numbers2(measureArch(make())), numbers2(measureArch(make(TILTED))))).toBeLessThan(1e-5);
});
const numbers2 = (m: ArchMeasures): Map<string, number> =>
  new Map([...numbers(m)].filter(([, value]) => !Number.isNaN(value)));
