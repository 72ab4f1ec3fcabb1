import { describe, expect, test } from 'vitest';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import type { MarkSite, PlacedMark } from '../../../src/core/marks/Mark.ts';
import type { MeasureInput } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { UPRIGHT } from '../../support/markArches.ts';

// SDs that can be worked out by hand: marks err independently, s along the tooth and 2 s across it; lone marks 2 s in
// every direction; an infinitely fine mesh adds nothing.

const S = 0.1;
const ACROSS = 2 * S;

type Point = readonly [tooth: number, site: MarkSite, point: Vec3, sdMm?: number];
const measured = (points: readonly Point[], more: Partial<MeasureInput> = {}) =>
  measureArch({
    jaw: 'lower',
    frame: UPRIGHT,
    marks: points.map(
      ([tooth, site, pointMm, sdMm]): PlacedMark => ({
        tooth,
        site,
        pointMm,
        state: 'confirmed',
        confidence: null,
        ...(sdMm === undefined ? {} : { sdMm }),
      }),
    ),
    missing: [],
    enteredWidths: [],
    form: 'spline',
    markSdMm: S,
    medianEdgeMm: 0,
    ...more,
  });

describe('width', () => {
  test('each mark by its own SD, the two together', () => {
    const { teeth } = measured([
      [44, 'mesial', [0, 0, 0], 0.3],
      [44, 'distal', [7, 0, 0], 0.4],
    ]);
    expect(teeth[0].sdMm).toBeCloseTo(0.5, 12);
  });

  test('what the mesh hides: h²/4w of each side along the tooth, h/√12 across it', () => {
    const input = { medianEdgeMm: 1, markSdAcrossMm: 0.3 };
    const { gradients, teeth } = measured(
      [
        [44, 'mesial', [0, 0, 0]],
        [44, 'distal', [5, 0, 0]],
      ],
      input,
    );
    expect(gradients[0].sdAlongMm).toBeCloseTo(Math.hypot(S, 1 / 20), 12);
    expect(gradients[0].sdAcrossMm).toBeCloseTo(Math.hypot(0.3, 1 / Math.sqrt(12)), 12);
    expect(teeth[0].sdMm).toBeCloseTo(Math.SQRT2 * Math.hypot(S, 1 / 20), 12);
    // A mark with an SD of its own slides by twice that, whatever holds for the others.
    const own = measured([[44, 'mesial', [0, 0, 0], 0.2]], input);
    expect(own.gradients[0].sdAcrossMm).toBeCloseTo(Math.hypot(0.4, 1 / Math.sqrt(12)), 12);
  });
});

describe('a contact', () => {
  // 41 and 31 stand along x, their facing points apart along the arch or across it.
  const pair = (gap: Vec3) =>
    measured([
      [41, 'distal', [5, 0, 0]],
      [41, 'mesial', [0, 0, 0]],
      [31, 'mesial', gap],
      [31, 'distal', [gap[0] - 5, gap[1], 0]],
    ]).contacts[0];

  test('separation: both marks along the arch', () => {
    expect(pair([-0.4, 0, 0]).separation).toMatchObject({
      valueMm: expect.closeTo(0.4, 12),
      sdMm: expect.closeTo(Math.SQRT2 * S, 12),
    });
  });
  test('displacement along the teeth errs as they do along, across them as they do across', () => {
    expect(pair([-0.4, 0, 0]).displacement!.sdMm).toBeCloseTo(Math.SQRT2 * S, 8);
    expect(pair([0, 1.5, 0]).displacement!.sdMm).toBeCloseTo(Math.SQRT2 * ACROSS, 8);
    // 3-4-5: √((0.6 · along)² + (0.8 · across)²) of each mark.
    expect(pair([-0.9, 1.2, 0]).displacement!.sdMm).toBeCloseTo(
      Math.SQRT2 * Math.hypot(0.6 * S, 0.8 * ACROSS),
      8,
    );
  });
  test('points that fall together: no direction yet, so the larger error counts', () => {
    expect(pair([0, 0, 0]).displacement).toMatchObject({
      valueMm: 0,
      sdMm: expect.closeTo(Math.SQRT2 * ACROSS, 12),
    });
  });
});

test('irregularity: five contacts, independent', () => {
  // Six front teeth along x, each 5 mm wide, every second one 1 mm forward.
  const teeth = [43, 42, 41, 31, 32, 33];
  const index = measured(
    teeth.flatMap((tooth, i): Point[] => {
      const at = (x: number): Vec3 => [x, i % 2, 0];
      const [right, left] = tooth > 40 ? (['distal', 'mesial'] as const) : (['mesial', 'distal'] as const);
      return [
        [tooth, right, at(15 - 5 * i)],
        [tooth, left, at(10 - 5 * i)],
      ];
    }),
  ).irregularity!;
  expect(index.valueMm).toBeCloseTo(5, 12);
  expect(index.sdMm).toBeCloseTo(Math.sqrt(5) * Math.SQRT2 * ACROSS, 8);
});

describe('across the arch, lone marks', () => {
  test('depth: the mean of two points in front, and half of each end behind', () => {
    const { depth } = measured([
      [41, 'mesial', [0.1, 24, 0]],
      [31, 'mesial', [-0.1, 24, 0]],
      [46, 'mesial', [20, 0, 0]],
      [36, 'mesial', [-20, 0, 0]],
    ]);
    expect(depth!.sdMm).toBeCloseTo(ACROSS * Math.hypot(0.5, 0.5, 0.5, 0.5), 8);
  });
  test('cusp to cusp: two marks; between crown centres: half of each of four', () => {
    const cusps = measured([
      [43, 'cusp', [12, 0, 3]],
      [33, 'cusp', [-12, 0, -3]],
    ]);
    expect(cusps.intercanine!.sdMm).toBeCloseTo(Math.SQRT2 * ACROSS, 8);
    // Canines along y, so that across the arch is across each tooth.
    const centres = measured([
      [43, 'mesial', [12, 4, 0]],
      [43, 'distal', [12, -4, 0]],
      [33, 'mesial', [-12, 4, 0]],
      [33, 'distal', [-12, -4, 0]],
    ]);
    expect(centres.intercanine!.sdMm).toBeCloseTo(ACROSS * Math.hypot(0.5, 0.5, 0.5, 0.5), 8);
  });
  test('four segments: the pieces pull at each corner from both sides', () => {
    // A square of 20 mm, open behind: 46 (20, 0), 43 (20, 20), midline (0, 20), 33 (−20, 20), 36 (−20, 0).
    const { fourSegments } = measured([
      [46, 'mesial', [20, 0, 0]],
      [43, 'mesial', [20, 20, 0]],
      [41, 'mesial', [0, 20, 0]],
      [31, 'mesial', [0, 20, 0]],
      [33, 'mesial', [-20, 20, 0]],
      [36, 'mesial', [-20, 0, 0]],
    ]);
    expect(fourSegments!.valueMm).toBeCloseTo(80, 12);
    // Ends 1 each, canines √2 each; the midline lies between two pieces in one line, which pull alike.
    expect(fourSegments!.sdMm).toBeCloseTo(ACROSS * Math.hypot(1, 1, Math.SQRT2, Math.SQRT2), 8);
  });
  test('curve of Spee: the cusp, and each corner of the plane by its leverage', () => {
    // Plane z = 0 through (0, 30), (24, −10), (−24, −10); a cusp 2 mm below it at (12, 10): half front, half right.
    const { speeDepthRight } = measured([
      [41, 'incisal', [2, 30, 0]],
      [31, 'incisal', [-2, 30, 0]],
      [47, 'cusp', [24, -10, 0]],
      [37, 'cusp', [-24, -10, 0]],
      [45, 'cusp', [12, 10, -2]],
    ]);
    expect(speeDepthRight!.valueMm).toBeCloseTo(2, 12);
    expect(speeDepthRight!.sdMm).toBeCloseTo(ACROSS * Math.hypot(1, 0.5, 0.25, 0.25), 7);
  });
});

describe('midline and asymmetry', () => {
  // One lone mark on each tooth, right and left mirrored about x = 0; the back teeth's mean lies at y = 10.
  const back = [3, 4, 5, 6].flatMap((position, i): Point[] => [
    [40 + position, 'mesial', [12 + 4 * i, 16 - 4 * i, 0]],
    [30 + position, 'mesial', [-12 - 4 * i, 16 - 4 * i, 0]],
  ]);
  const front = (right: Vec3, left: Vec3): Point[] => [
    [41, 'mesial', right],
    [31, 'mesial', left],
  ];
  test('offset: half of each central, and each back point by its share of the axis’s place', () => {
    // Beside the mean of the back teeth a turn of the axis does nothing: 2 · (½)² + 8 · (⅛)².
    const { midlineOffset } = measured([...front([0.9, 10, 0], [0.3, 10, 0]), ...back]);
    expect(midlineOffset!.valueMm).toBeCloseTo(0.6, 9);
    expect(midlineOffset!.sdMm).toBeCloseTo(ACROSS * Math.sqrt(0.5 + 1 / 8), 8);
  });
  test('offset of incisors 20 mm before them: the turn of the axis by that lever besides', () => {
    // Points at (±x, v) from the mean turn the axis of a symmetric arch by (v·dx ∓ x·dy) ÷ 2T, T = Σ (x² + v²) over
    // the pairs; of all eight together, with a lever L, that is L² ÷ 2T.
    const { midlineOffset } = measured([...front([0, 30, 0], [0, 30, 0]), ...back]);
    const t = 12 ** 2 + 16 ** 2 + 20 ** 2 + 24 ** 2 + 2 * (6 ** 2 + 2 ** 2);
    expect(midlineOffset!.valueMm).toBeCloseTo(0, 9);
    expect(midlineOffset!.sdMm).toBeCloseTo(ACROSS * Math.sqrt(0.5 + 1 / 8 + 20 ** 2 / (2 * t)), 8);
  });
  test('heights, and how the whole arch is turned by a little, change neither', () => {
    const turned = (angle: number, [x, y]: Vec3, z: number): Vec3 => [
      x * Math.cos(angle) - y * Math.sin(angle),
      x * Math.sin(angle) + y * Math.cos(angle),
      z,
    ];
    const points = [...front([0.9, 31, 0], [0.2, 30, 0]), ...back];
    const plain = measured(points);
    for (const angle of [-0.3, 0.2, 1]) {
      const moved = measured(
        points.map(([tooth, site, p], i) => [tooth, site, turned(angle, p, i % 3)] as const),
      );
      for (const key of ['midlineOffset', 'asymmetry'] as const) {
        expect(moved[key]!.valueMm, `${key} ${angle}`).toBeCloseTo(plain[key]!.valueMm, 9);
        expect(moved[key]!.sdMm, `${key} ${angle}`).toBeCloseTo(plain[key]!.sdMm, 7);
      }
    }
  });
  test('asymmetry of one pair that stands one behind the other on the axis', () => {
    // Five pairs, one of them 0.6 mm apart along the axis: 0.6 / √5; its two points alone change that, by 1/√5 each.
    const { asymmetry } = measured([...front([0, 20.6, 0], [0, 20, 0]), ...back]);
    expect(asymmetry!.valueMm).toBeCloseTo(0.6 / Math.sqrt(5), 9);
    expect(asymmetry!.sdMm).toBeCloseTo(ACROSS * Math.sqrt(2 / 5), 6);
  });
  test('too few points: both say how many there are', () => {
    const { midlineOffset, asymmetry, warnings } = measured([
      [41, 'mesial', [0, 20, 0]],
      ...back.slice(0, 6),
    ]);
    expect([midlineOffset, asymmetry]).toEqual([null, null]);
    const said = (code: string) => warnings.find((w) => w.code === code)!.message;
    expect(said('midline-missing')).toMatch(/of 41 and 31 and at least 4 pairs .* got 1 and 3\.$/);
    expect(said('asymmetry-missing')).toMatch(/at least 4 pairs .* got 3\.$/);
  });
});

describe('a mark', () => {
  const tooth: Point[] = [
    [43, 'mesial', [12, 4, 0]],
    [43, 'distal', [12, -4, 0]],
    [33, 'mesial', [-12, 4, 0]],
    [33, 'distal', [-12, -4, 0]],
  ];
  test('a cusp errs alike in all directions, whatever else is marked on its tooth', () => {
    const cusps: Point[] = [
      [43, 'cusp', [12, 0, 3]],
      [33, 'cusp', [-12, 0, -3]],
    ];
    expect(measured([...tooth, ...cusps]).intercanine!.sdMm).toBeCloseTo(Math.SQRT2 * ACROSS, 8);
    const along: Point[] = [
      [43, 'cusp', [0, 12, 3]],
      [33, 'cusp', [0, -12, -3]],
    ];
    expect(measured([...tooth, ...along]).intercanine!.sdMm).toBeCloseTo(Math.SQRT2 * ACROSS, 8);
  });
  test('of the permanent tooth comes before that of the primary one at the same place', () => {
    const primary = tooth.map(([t, site, [x, y, z]]) => [t + 40, site, [0.9 * x, y, z + 1]] as const);
    for (const points of [
      [...tooth, ...primary],
      [...primary, ...tooth],
    ]) {
      const { teeth, warnings } = measured(points);
      expect(teeth.map((t) => t.tooth)).toEqual([43, 83, 33, 73]);
      expect(warnings.filter((w) => w.code === 'place-shared').map((w) => w.teeth)).toEqual([[83], [73]]);
    }
  });
  test('a thousandth of a mm apart is two points, less is one', () => {
    const apart = (mm: number) => () =>
      measured([
        [43, 'mesial', [0, 0, 0]],
        [43, 'distal', [mm, 0, 0]],
      ]);
    expect(apart(0.00101)).not.toThrow();
    expect(apart(0.00099)).toThrow(/tooth 43 coincide; got 0\.0010 mm apart/);
  });
});
