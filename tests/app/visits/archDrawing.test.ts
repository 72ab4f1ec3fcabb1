import { describe, expect, it } from 'vitest';
import { archDrawing, LABEL_MM, labelPlaces } from '../../../src/app/visits/archDrawing.ts';
import type { Vec2 } from '../../../src/core/base/Vec3.ts';
import { recordMeasures } from '../../../src/core/casefile/archAccount.ts';
import { demoCase, lowerOf } from '../../support/demoCase.ts';

const measures = recordMeasures(lowerOf(demoCase()));
const drawing = archDrawing(measures);
const distance = ([a, b]: Vec2, [c, d]: Vec2): number => Math.hypot(a - c, b - d);

describe('the arch drawn from above', () => {
  it('draws every marked tooth to scale: the outline is as wide as the tooth', () => {
    expect(drawing.teeth).toHaveLength(14);
    for (const { tooth, outline } of drawing.teeth) {
      const widest = Math.max(...outline.flatMap((p) => outline.map((q) => distance(p, q))));
      const width = measures.teeth.find((m) => m.tooth === tooth)?.widthOcclusalMm ?? Number.NaN;
      // Half way round the outline lie the two ends of the width.
      expect(distance(outline[0], outline[outline.length / 2])).toBeCloseTo(width, 9);
      expect(widest).toBeLessThan(width * 1.6);
    }
  });

  it('has the patient’s right on the left and the front of a lower arch down', () => {
    const middle = (tooth: number): Vec2 => drawing.teeth.find((t) => t.tooth === tooth)?.middle ?? [0, 0];
    expect(middle(46)[0]).toBeLessThan(middle(41)[0]);
    expect(middle(41)[0]).toBeLessThan(middle(36)[0]);
    expect(middle(41)[1]).toBeGreaterThan(middle(46)[1]);
  });

  it('no label covers another or a tooth', () => {
    const places = labelPlaces('lower', drawing.teeth, drawing.contacts);
    expect(places).toHaveLength(13);
    const box = ([x, y]: Vec2) => [
      x - LABEL_MM.halfWidth,
      y - LABEL_MM.above,
      x + LABEL_MM.halfWidth,
      y + LABEL_MM.below,
    ];
    for (const [i, one] of places.entries()) {
      const [left, top, right, bottom] = box(one.middle);
      for (const other of places.slice(i + 1)) {
        const [l, t, r, b] = box(other.middle);
        expect(left < r && l < right && top < b && t < bottom).toBe(false);
      }
      for (const { outline } of drawing.teeth)
        for (const [x, y] of outline) expect(x > left && x < right && y > top && y < bottom).toBe(false);
    }
  });

  it('draws nothing of an arch without marks', () => {
    expect(archDrawing({ ...measures, teeth: [], contacts: [] })).toEqual({ teeth: [], contacts: [] });
  });
});
