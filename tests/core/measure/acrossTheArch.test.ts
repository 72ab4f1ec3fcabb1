import { describe, expect, test } from 'vitest';
import { archFrame, pointInScan } from '../../../src/core/arch/ArchFrame.ts';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import type { MarkSite, PlacedMark } from '../../../src/core/marks/Mark.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { pairedMirrorAxis } from '../../../src/core/measure/midlineAndAsymmetry.ts';
import { alignedTeeth, ellipseCurve, markArch, TILTED } from '../../support/markArches.ts';

const make = (points: readonly (readonly [number, MarkSite, Vec3])[], jaw: 'upper' | 'lower' = 'lower') =>
  measureArch({
    jaw,
    frame: TILTED,
    marks: points.map(
      ([tooth, site, p]): PlacedMark => ({
        tooth,
        site,
        pointMm: pointInScan(TILTED, p),
        state: 'confirmed',
        confidence: null,
      }),
    ),
    missing: [],
    enteredWidths: [],
    form: 'spline',
    markSdMm: 0.1,
    medianEdgeMm: 0.1,
  });

describe('arch depth', () => {
  test('square on, and heights do not count', () => {
    const m = make([
      [41, 'mesial', [0.2, 28, 1]],
      [31, 'mesial', [-0.2, 26, 2]],
      [46, 'mesial', [20, 3, 0]],
      [36, 'mesial', [-22, 3, -1]],
    ]);
    expect(m.depth!.valueMm).toBeCloseTo(24, 10);
  });
  test('oblique base: distance of a point from a line', () => {
    const m = make([
      [41, 'mesial', [0, 25, 0]],
      [31, 'mesial', [0, 25, 0]],
      [46, 'mesial', [20, 5, 0]],
      [36, 'mesial', [-20, -10, 0]],
    ]);
    // base through (20, 5), slope 15/40: |0·15 − 40·25 + …|
    expect(m.depth!.valueMm).toBeCloseTo(27.5 * (40 / Math.hypot(40, 15)), 10);
  });
});

describe('segments', () => {
  const corners: readonly (readonly [number, MarkSite, Vec3])[] = [
    [46, 'mesial', [20, 0, 5]],
    [43, 'distal', [16, 12, 4]],
    [43, 'mesial', [12, 19, 3]],
    [41, 'mesial', [0, 24, 2]],
    [36, 'mesial', [-20, 0, 0]],
    [33, 'distal', [-16, 12, 0]],
    [33, 'mesial', [-12, 19, 0]],
    [31, 'mesial', [0, 24, 0]],
  ];
  const side4 = Math.hypot(8, 19) + Math.hypot(12, 5); // in the plane; 5-12-13 in front
  const side6 = Math.hypot(4, 12) + Math.hypot(4, 7) + 13;
  test('four', () => {
    expect(make(corners).fourSegments!.valueMm).toBeCloseTo(2 * side4, 10);
  });
  test('six', () => {
    expect(make(corners).sixSegments!.valueMm).toBeCloseTo(2 * side6, 10);
  });
  test('corners that are not marked are named', () => {
    const missing = (drop: readonly string[]) => {
      const m = make(corners.filter(([t, site]) => !drop.includes(`${t} ${site}`)));
      return ['four-segments-missing', 'six-segments-missing'].map(
        (code) => m.warnings.find((w) => w.code === code)?.teeth,
      );
    };
    const messages = make(corners.filter(([t, site]) => site !== 'mesial' || t % 10 !== 3)).warnings.map(
      (w) => w.message,
    );
    expect(messages).toContain('Perimeter by four segments needs the contact points 43 mesial, 33 mesial.');
    expect(messages).toContain('Perimeter by six segments needs the contact points 43 mesial, 33 mesial.');
    const [one] = make(corners.filter(([t, site]) => `${t} ${site}` !== '43 distal')).warnings.filter(
      (w) => w.code === 'six-segments-missing',
    );
    expect(one.message).toBe('Perimeter by six segments needs the contact point 43 distal.');
    expect(missing([])).toEqual([undefined, undefined]);
    expect(missing(['43 distal'])).toEqual([undefined, [43]]);
    expect(missing(['33 mesial', '46 mesial'])).toEqual([
      [46, 33],
      [46, 33],
    ]);
  });
  test('polygon of chords on an ellipse: short of the curve, six less than four', () => {
    const { input, truth } = markArch({
      jaw: 'upper',
      curve: ellipseCurve(27, 45),
      limit: 2.2,
      teeth: alignedTeeth('upper'),
    });
    const m = measureArch(input);
    expect(m.fourSegments!.valueMm).toBeLessThan(m.sixSegments!.valueMm);
    expect(m.sixSegments!.valueMm).toBeLessThan(truth.lineLengthMm);
    expect(truth.lineLengthMm - m.fourSegments!.valueMm).toBeLessThan(1.5);
  });
});

describe('widths across', () => {
  const contacts: readonly (readonly [number, MarkSite, Vec3])[] = [
    [43, 'mesial', [11, 18, 0]],
    [43, 'distal', [15, 12, 0]],
    [33, 'mesial', [-11, 18, 0]],
    [33, 'distal', [-15, 12, 0]],
  ];
  test('cusps when marked, in the plane', () => {
    const m = make([...contacts, [43, 'cusp', [12, 16, 5]], [33, 'cusp', [-12, 9, 2]]]);
    expect(m.intercanine!.valueMm).toBeCloseTo(25, 10); // 24, 7
    expect(m.warnings.some((w) => w.code === 'intercanine-from-contacts')).toBe(false);
  });
  test('crown centres without, and it is said', () => {
    const m = make(contacts);
    expect(m.intercanine!.valueMm).toBeCloseTo(26, 10);
    expect(m.warnings.find((w) => w.code === 'intercanine-from-contacts')!.teeth).toEqual([43, 33]);
  });
  test('centres that do not stand level: 24 and 7 mm apart', () => {
    const m = make([
      [43, 'mesial', [10, 20, 0]],
      [43, 'distal', [14, 10, 0]],
      [33, 'mesial', [-10, 12, 0]],
      [33, 'distal', [-14, 4, 0]],
    ]);
    expect(m.intercanine!.valueMm).toBeCloseTo(25, 10);
  });
  test('one cusp alone does not mix with centres', () => {
    expect(make([...contacts, [43, 'cusp', [12, 16, 5]]]).intercanine!.valueMm).toBeCloseTo(26, 10);
  });
  test('neither cusps nor centres: null, and the teeth that lack something are named', () => {
    const of = (points: Parameters<typeof make>[0]) => {
      const m = make(points);
      return [m.intercanine, m.warnings.find((w) => w.code === 'intercanine-missing')?.teeth];
    };
    expect(of(contacts.slice(0, 3))).toEqual([null, [33]]);
    expect(of(contacts.slice(1))).toEqual([null, [43]]);
    expect(of([])).toEqual([null, [43, 33]]);
    // A cusp on one and contact points on the other do not make a width: both are named.
    expect(of([[43, 'cusp', [12, 16, 5]], ...contacts.slice(2)])).toEqual([null, [43, 33]]);
    const message = (points: Parameters<typeof make>[0]) =>
      make(points).warnings.find((w) => w.code === 'intercanine-missing')!.message;
    expect(message(contacts.slice(0, 3))).toMatch(
      /^Intercanine width needs .* of 43 and 33; missing on 33\.$/,
    );
    expect(message([[43, 'cusp', [12, 16, 5]], ...contacts.slice(2)])).toMatch(/missing on 43, 33\.$/);
    // One contact point is not yet a centre.
    expect(of([[43, 'cusp', [12, 16, 5]], contacts[2]])).toEqual([null, [33]]);
  });
  test('premolars and molars', () => {
    const m = make(
      [
        [14, 'cusp', [-20, 10, 0]],
        [24, 'cusp', [21, 10, 0]],
        [16, 'cusp', [-26, 0, 0]],
        [26, 'cusp', [27, 0, 0]],
      ],
      'upper',
    );
    expect(m.interpremolar!.valueMm).toBeCloseTo(41, 10);
    expect(m.intermolar!.valueMm).toBeCloseTo(53, 10);
  });
});

describe('curve of Spee', () => {
  // edges and second molar cusps on the plane z = 0.1 x + 0.05 y, premolars below it
  const plane = (x: number, y: number) => 0.1 * x + 0.05 * y;
  const slant = Math.hypot(0.1, 0.05, 1);
  const on = (x: number, y: number, off = 0): Vec3 => [x, y, plane(x, y) + off];
  const lower: readonly (readonly [number, MarkSite, Vec3])[] = [
    [41, 'incisal', on(2, 30)],
    [31, 'incisal', on(-2, 30)],
    [47, 'cusp', on(25, -8)],
    [37, 'cusp', on(-25, -8)],
    [43, 'cusp', on(12, 24, 0.3)],
    [44, 'cusp', on(16, 18, -1.1)],
    [45, 'cusp', on(19, 11, -2.4)],
    [46, 'cusp', on(22, 3, -1.9)],
    [34, 'cusp', on(-16, 18, -0.7)],
    [35, 'cusp', on(-19, 11, -1.2)],
  ];
  test('deepest cusp below the plane, each side, along the plane’s normal', () => {
    const m = make(lower);
    expect(m.speeDepthRight!.valueMm).toBeCloseTo(2.4 / slant, 9);
    expect(m.speeDepthLeft!.valueMm).toBeCloseTo(1.2 / slant, 9);
  });
  test('no cusp below: a flat curve is 0, not missing', () => {
    const m = make(
      lower.map(([t, s, p]) =>
        t === 34 || t === 35 ? [t, s, [p[0], p[1], plane(p[0], p[1]) + 0.5]] : [t, s, p],
      ),
    );
    expect(m.speeDepthLeft!.valueMm).toBe(0);
  });
  test('upper arch: cusps beyond the plane', () => {
    const upper = lower.map(([t, s, [x, y, z]]) => [t >= 40 ? t - 30 : t - 10, s, [-x, y, -z]] as const);
    expect(make(upper, 'upper').speeDepthRight!.valueMm).toBeCloseTo(2.4 / slant, 9);
  });
  test('a primary tooth counts in the place of its successor, and it is said', () => {
    const m = make(lower.map(([t, s, p]) => (t === 45 ? [85, s, p] : [t, s, p])));
    expect(m.speeDepthRight!.valueMm).toBeCloseTo(2.4 / slant, 9);
    expect(m.warnings.find((w) => w.code === 'spee-with-primary')?.teeth).toEqual([85]);
    expect(make(lower).warnings.some((w) => w.code === 'spee-with-primary')).toBe(false);
  });
  test('to the first molars when the second are not there, and it is said', () => {
    const m = make([
      ...lower.filter(([t]) => t !== 47 && t !== 37 && t !== 46),
      [46, 'cusp', on(22, 3)],
      [36, 'cusp', on(-22, 3)],
    ]);
    expect(m.speeDepthRight!.valueMm).toBeCloseTo(2.4 / slant, 9);
    expect(m.warnings.some((w) => w.code === 'spee-from-first-molars')).toBe(true);
  });
  test('one second molar is not enough to end the plane there', () => {
    const m = make([
      ...lower.filter(([t]) => t !== 37 && t !== 46),
      [46, 'cusp', on(22, 3)],
      [36, 'cusp', on(-22, 3)],
    ]);
    expect(m.speeDepthRight!.valueMm).toBeCloseTo(2.4 / slant, 9);
    expect(m.warnings.some((w) => w.code === 'spee-from-first-molars')).toBe(true);
    expect(make(lower).warnings.some((w) => w.code === 'spee-from-first-molars')).toBe(false);
  });
  test('a first molar ends the plane or lies in the curve, not both', () => {
    const deepMolar = lower.map((p) => (p[0] === 46 ? ([46, 'cusp', on(22, 3, -3)] as const) : p));
    expect(make(deepMolar).speeDepthRight!.valueMm).toBeCloseTo(3 / slant, 9);
    // Only 46 and 36 end the plane: with no other cusp between, nothing can be said of that side.
    const ends = [
      [46, 'cusp', on(22, 3)],
      [36, 'cusp', on(-22, 3)],
    ] as const;
    const m = make([lower[0], lower[1], ...ends, [34, 'cusp', on(-16, 18, -0.7)]]);
    expect(m.speeDepthRight).toBeNull();
    expect(m.speeDepthLeft!.valueMm).toBeCloseTo(0.7 / slant, 9);
  });
  test('the canine counts, and one incisor’s edge is enough', () => {
    const deepCanine = lower.map((p) => (p[0] === 43 ? ([43, 'cusp', on(12, 24, -2.9)] as const) : p));
    expect(make(deepCanine).speeDepthRight!.valueMm).toBeCloseTo(2.9 / slant, 9);
    for (const gone of [41, 31])
      expect(make(lower.filter(([t]) => t !== gone)).speeDepthRight!.valueMm).toBeCloseTo(2.4 / slant, 9);
  });
  test('with both edges the plane begins at their middle', () => {
    const uneven = lower.map((p) =>
      p[0] === 41
        ? ([41, 'incisal', on(2, 30, 0.8)] as const)
        : p[0] === 31
          ? ([31, 'incisal', on(-2, 30, -0.8)] as const)
          : p,
    );
    expect(make(uneven).speeDepthRight!.valueMm).toBeCloseTo(2.4 / slant, 9);
  });
  test('what is missing is said: edges, ends, or both', () => {
    const said = (points: Parameters<typeof make>[0]) =>
      make(points).warnings.find((w) => w.code === 'spee-missing')!.message;
    const edges = /incisal edge/;
    const ends = /mesiobuccal cusp/;
    const noEdges = said(lower.filter(([, site]) => site !== 'incisal'));
    expect([edges.test(noEdges), ends.test(noEdges)]).toEqual([true, false]);
    const noEnds = said(lower.filter(([t]) => t % 10 < 6));
    expect([edges.test(noEnds), ends.test(noEnds)]).toEqual([false, true]);
    const neither = said([]);
    expect([edges.test(neither), ends.test(neither)]).toEqual([true, true]);
  });
  test('one side without cusps: that side only', () => {
    const m = make(lower.filter(([t]) => ![34, 35].includes(t)));
    expect(m.speeDepthLeft).toBeNull();
    expect(m.speeDepthRight).not.toBeNull();
    expect(m.warnings.filter((w) => w.code === 'spee-missing')).toHaveLength(1);
  });
});

describe('midline and asymmetry', () => {
  const symmetric = markArch({
    jaw: 'lower',
    curve: ellipseCurve(27, 45),
    limit: 2.2,
    teeth: alignedTeeth('lower'),
  }).input;

  test('a symmetric arch has neither, whatever the frame’s heading', () => {
    for (const turn of [0, 0.1, -0.2]) {
      const frame = archFrame([3, -4, 0], [0, 0, 1], [Math.sin(turn), Math.cos(turn), 0]);
      const m = measureArch({ ...symmetric, frame });
      expect(m.midlineOffset!.valueMm).toBeCloseTo(0, 9);
      expect(m.asymmetry!.valueMm).toBeCloseTo(0, 9);
    }
  });
  test('incisors shifted to the patient’s right: + in a lower arch (x is right), − in an upper', () => {
    for (const jaw of ['lower', 'upper'] as const) {
      const { input } = markArch({ jaw, curve: ellipseCurve(27, 45), limit: 2.2, teeth: alignedTeeth(jaw) });
      const right = jaw === 'lower' ? 1.4 : -1.4;
      const marks = input.marks.map(
        (m): PlacedMark =>
          m.tooth % 10 <= 2 ? { ...m, pointMm: [m.pointMm[0] + right, m.pointMm[1], m.pointMm[2]] } : m,
      );
      expect(measureArch({ ...input, marks }).midlineOffset!.valueMm).toBeCloseTo(right, 9);
    }
  });
  test('four pairs of points are enough, three are not', () => {
    const upTo = (last: number) =>
      measureArch({
        ...symmetric,
        marks: symmetric.marks.filter(
          (m) => m.tooth % 10 === 1 || (m.tooth % 10 >= 3 && m.tooth % 10 <= last && m.tooth % 10 !== 4),
        ),
      });
    // Pairs behind the incisors: 3 and 5 give four; of all, the centrals' two more.
    expect(upTo(5).midlineOffset!.valueMm).toBeCloseTo(0, 9);
    expect(upTo(5).asymmetry!.valueMm).toBeCloseTo(0, 9);
    expect(upTo(3).midlineOffset).toBeNull(); // two pairs
    expect(upTo(3).asymmetry!.valueMm).toBeCloseTo(0, 9); // four pairs
    const three = measureArch({
      ...symmetric,
      marks: symmetric.marks.filter((m) => m.tooth % 10 === 3 || (m.tooth % 10 === 1 && m.site === 'mesial')),
    });
    expect(three.asymmetry).toBeNull();
  });
  test('second molars and what is marked on one side alone have no say', () => {
    const marks = symmetric.marks.flatMap((m): PlacedMark[] => {
      if (m.tooth === 47) return [{ ...m, pointMm: [m.pointMm[0] + 5, m.pointMm[1] - 5, m.pointMm[2]] }];
      return m.tooth === 44
        ? []
        : m.tooth === 34
          ? [{ ...m, pointMm: [m.pointMm[0] + 3, m.pointMm[1], 0] }]
          : [m];
    });
    const m = measureArch({ ...symmetric, marks });
    expect(m.midlineOffset!.valueMm).toBeCloseTo(0, 9);
    expect(m.asymmetry!.valueMm).toBeCloseTo(0, 9);
  });
  test('asymmetry is the RMS distance: one pair of twelve 0.6 mm off', () => {
    // 41 mesial lies on the axis and moves along it: neither turning nor shifting the axis makes up for that.
    const marks = symmetric.marks.map(
      (m): PlacedMark =>
        m.tooth === 41 && m.site === 'mesial'
          ? { ...m, pointMm: [m.pointMm[0], m.pointMm[1] + 0.6, m.pointMm[2]] }
          : m,
    );
    expect(measureArch({ ...symmetric, marks }).asymmetry!.valueMm).toBeCloseTo(0.6 / Math.sqrt(12), 9);
  });
  test('one side 2 mm further forward all along is seen, as 2 mm at most', () => {
    const marks = symmetric.marks.map(
      (m): PlacedMark =>
        m.tooth >= 40 ? { ...m, pointMm: [m.pointMm[0], m.pointMm[1] + 2, m.pointMm[2]] } : m,
    );
    const m = measureArch({ ...symmetric, marks });
    // a turned axis takes a part of a glide; the rest cannot be mirrored away
    expect(m.asymmetry!.valueMm).toBeGreaterThan(0.5);
    expect(m.asymmetry!.valueMm).toBeLessThanOrEqual(2);
  });
  test('the axis is the best of all: brute force over angle and place', () => {
    const right = [
      [20, 1],
      [18, 9],
      [14, 17],
      [9, 22],
    ] as const;
    const left = [
      [-21, 0],
      [-17.5, 10],
      [-14.6, 16],
      [-8, 23],
    ] as const;
    const cost = (angle: number, offset: number): number => {
      const [ax, ay] = [Math.cos(angle), Math.sin(angle)];
      return right.reduce((s, [x, y], i) => {
        const side = x * ay - y * ax - offset;
        return s + (x - 2 * side * ay - left[i][0]) ** 2 + (y + 2 * side * ax - left[i][1]) ** 2;
      }, 0);
    };
    const axis = pairedMirrorAxis(right, left);
    const own = cost(
      Math.atan2(axis.direction[1], axis.direction[0]),
      axis.point[0] * axis.direction[1] - axis.point[1] * axis.direction[0],
    );
    let best = Number.POSITIVE_INFINITY;
    for (let a = 1; a < 2.1; a += 0.002) for (let o = -4; o < 4; o += 0.02) best = Math.min(best, cost(a, o));
    expect(own).toBeLessThanOrEqual(best);
    expect(own).toBeGreaterThan(best - 0.01);
  });
});
