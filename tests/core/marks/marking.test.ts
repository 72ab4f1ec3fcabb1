import { describe, expect, it } from 'vitest';
import { archFrame } from '../../../src/core/arch/ArchFrame.ts';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import { confirmMark, moveMark, placeMark, removeMark } from '../../../src/core/marks/editMarks.ts';
import { localDirections } from '../../../src/core/marks/localDirections.ts';
import { markKey, type PlacedMark, type Reading } from '../../../src/core/marks/Mark.ts';
import { markingOrder, nextUnmarked } from '../../../src/core/marks/markingOrder.ts';
import { nudgeMark } from '../../../src/core/marks/nudgeMark.ts';
import { repeatability } from '../../../src/core/marks/repeatability.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeSphere } from '../../support/meshes.ts';

const WHOLE = { missing: [], unerupted: [], thirdMolars: [] };
const frame = archFrame([0, 0, 0], [0, 0, 1], [0, 1, 0]);
const mark = (tooth: number, site: 'mesial' | 'distal', pointMm: Vec3 = [0, 0, 0]): PlacedMark => ({
  tooth,
  site,
  pointMm,
  state: 'proposed',
  confidence: 0.5,
});
const findMark = (reading: Reading, name: Pick<PlacedMark, 'tooth' | 'site'>): PlacedMark | undefined =>
  reading.marks.find((mark) => markKey(mark) === markKey(name));
const reading = (marks: readonly PlacedMark[], observer = '', repeat = 1): Reading => ({
  observer,
  repeat,
  marks,
});

describe('order of marking', () => {
  it('travels one way round the arch', () => {
    const lower = markingOrder('lower', WHOLE).map(markKey);
    expect(lower.length).toBe(28);
    expect(lower.slice(0, 3)).toEqual(['47-distal', '47-mesial', '46-distal']);
    expect(lower.slice(12, 16)).toEqual(['41-distal', '41-mesial', '31-mesial', '31-distal']);
    expect(lower.at(-1)).toBe('37-distal');
    expect(markingOrder('upper', WHOLE)[0]).toEqual({ tooth: 17, site: 'distal' });
  });
  it('leaves out what is not there and takes in third molars only when listed', () => {
    const order = markingOrder('upper', { missing: [12], unerupted: [23], thirdMolars: [18] }).map(
      (s) => s.tooth,
    );
    expect(order).not.toContain(12);
    expect(order).not.toContain(23);
    expect(order).not.toContain(28);
    expect(order[0]).toBe(18);
  });
  it('goes on after the last step, comes round, and ends', () => {
    const order = markingOrder('lower', WHOLE);
    expect(nextUnmarked(order, [])).toEqual(order[0]);
    expect(nextUnmarked(order, [mark(47, 'mesial')], order[0])).toEqual(order[2]);
    expect(nextUnmarked(order, order.slice(5), order[20])).toEqual(order[0]);
    expect(nextUnmarked(order, order, order[3])).toBeNull();
  });
});

describe('editing a reading', () => {
  const first = reading([mark(11, 'mesial'), mark(11, 'distal')]);
  it('places, replaces in place, moves, confirms and removes without touching the old reading', () => {
    const placed = placeMark(first, mark(21, 'mesial', [1, 2, 3]));
    expect(placed.marks.map(markKey)).toEqual(['11-mesial', '11-distal', '21-mesial']);
    expect(placeMark(placed, mark(11, 'mesial', [9, 9, 9])).marks[0].pointMm).toEqual([9, 9, 9]);
    const moved = moveMark(placed, { tooth: 11, site: 'distal' }, [4, 5, 6]);
    expect(findMark(moved, { tooth: 11, site: 'distal' })).toMatchObject({
      pointMm: [4, 5, 6],
      state: 'confirmed',
      confidence: null,
    });
    // The SD belongs to the place: it stays where a mark is confirmed, and a moved mark has a new one or none.
    const measured = placeMark(first, { ...mark(11, 'distal'), sdMm: 0.1 });
    const name = { tooth: 11, site: 'distal' } as const;
    expect(findMark(confirmMark(measured, name), name)!.sdMm).toBe(0.1);
    expect(findMark(moveMark(measured, name, [4, 5, 6]), name)).not.toHaveProperty('sdMm');
    expect(findMark(moveMark(measured, name, [4, 5, 6], 0.9, 0.06), name)!.sdMm).toBe(0.06);
    expect(
      findMark(confirmMark(first, { tooth: 11, site: 'mesial' }), { tooth: 11, site: 'mesial' })!.state,
    ).toBe('confirmed');
    expect(removeMark(moved, { tooth: 11, site: 'mesial' }).marks.map(markKey)).toEqual([
      '11-distal',
      '21-mesial',
    ]);
    expect(removeMark(first, { tooth: 48, site: 'mesial' })).toBe(first);
    expect(first.marks.every((m) => m.state === 'proposed')).toBe(true);
    expect(() => confirmMark(first, { tooth: 48, site: 'mesial' })).toThrow(/48-mesial/);
  });
});

describe('directions at a tooth', () => {
  // Lower arch: x is the patient's right; upper arch: x is the patient's left.
  it.each([
    ['lower right molar', 46, [25, -15, 0], [0, 1, 0], [1, 0, 0]],
    ['lower left molar', 36, [-25, -15, 0], [0, 1, 0], [-1, 0, 0]],
    ['upper right molar', 16, [-25, -15, 0], [0, 1, 0], [-1, 0, 0]],
    ['upper left molar', 26, [25, -15, 0], [0, 1, 0], [1, 0, 0]],
    ['lower right incisor', 41, [2, 20, 0], [-1, 0, 0], [0, 1, 0]],
    ['upper left incisor', 21, [2, 20, 0], [-1, 0, 0], [0, 1, 0]],
  ] as const)('%s, from the frame alone', (_, tooth, pointMm, mesial, buccal) => {
    const found = localDirections(frame, [], pointMm as unknown as Vec3, tooth);
    const cosine = (a: readonly number[], b: readonly number[]) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    expect(cosine(found.mesial, mesial)).toBeGreaterThan(0.9);
    expect(cosine(found.buccal, buccal)).toBeGreaterThan(0.9);
    expect(cosine(found.lingual, buccal)).toBeLessThan(-0.9);
    expect(cosine(found.distal, mesial)).toBeLessThan(-0.9);
  });
  it('follows the tooth’s own marks when both are there', () => {
    const marks = [mark(46, 'mesial', [20, 0, 0]), mark(46, 'distal', [28, -6, 3])];
    expect(localDirections(frame, marks, [24, -3, 0], 46).mesial[0]).toBeCloseTo(-0.8, 9);
  });
});

describe('nudging', () => {
  const index = surfaceIndex(makeSphere(10, 5));
  it('slides along the surface by the step, and back', () => {
    const at = index.closestPoint([7, 7, 2])!.pointMm;
    const there = nudgeMark(index, frame, { tooth: 46, site: 'mesial', pointMm: at }, 'mesial');
    expect(Math.hypot(there[0] - at[0], there[1] - at[1], there[2] - at[2])).toBeCloseTo(0.05, 2);
    expect(Math.abs(Math.hypot(...there) - 10)).toBeLessThan(0.02);
    expect(there[1]).toBeGreaterThan(at[1]);
    const back = nudgeMark(index, frame, { tooth: 46, site: 'mesial', pointMm: there }, 'distal');
    expect(Math.hypot(back[0] - at[0], back[1] - at[1], back[2] - at[2])).toBeLessThan(0.005);
    expect(nudgeMark(index, frame, { tooth: 46, site: 'mesial', pointMm: at }, 'up')[2]).toBeGreaterThan(
      at[2],
    );
  });
  it('keeps a point that stands off the surface at its distance', () => {
    const inside: Vec3 = [6.9, 6.9, 0];
    const before = index.closestPoint(inside)!.distanceMm;
    const there = nudgeMark(index, frame, { tooth: 46, site: 'mesial', pointMm: inside }, 'mesial');
    expect(index.closestPoint(there)!.distanceMm).toBeCloseTo(before, 2);
  });
});

describe('repeatability', () => {
  it('is Dahlberg’s error for two readings', () => {
    const off = [0.1, -0.2, 0.05, 0.15]; // d between the readings, mm along the tooth
    const at = (k: number, shift: number): Vec3 => [k * 6 + shift, 0, 0];
    const teeth = [41, 42];
    const marks = (which: 0 | 1) =>
      teeth.flatMap((tooth, i) => [
        mark(tooth, 'mesial', at(i * 2, which * off[i * 2])),
        mark(tooth, 'distal', at(i * 2 + 1, which * off[i * 2 + 1])),
      ]);
    const found = repeatability([reading(marks(0), 'a', 1), reading(marks(1), 'a', 2)], frame)!;
    const dahlberg = Math.sqrt(off.reduce((s, d) => s + d * d, 0) / (2 * off.length));
    expect(found.markSdMm).toBeCloseTo(dahlberg, 9);
    expect(found.degreesOfFreedom).toBe(4);
    expect(found.bySite.find((s) => s.tooth === 41 && s.site === 'distal')!.sdMm).toBeCloseTo(
      0.2 / Math.SQRT2,
      9,
    );
  });
  it('does not mix observers, and says nothing where nothing was repeated', () => {
    expect(
      repeatability([reading([mark(11, 'mesial')], 'a'), reading([mark(11, 'mesial')], 'b')], frame),
    ).toBeNull();
  });
});
