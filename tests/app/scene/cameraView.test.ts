import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type CameraView,
  clearOf,
  closeUpView,
  fittedView,
  onTargetPlane,
  orbited,
  panned,
  pixelOf,
  rightOf,
  rolled,
  sightLine,
  upright,
  type Viewport,
  viewBetween,
  viewDirections,
  zoomed,
} from '../../../src/app/scene/cameraView.ts';
import { type ArchFrame, archFrame, pointInScan } from '../../../src/core/arch/ArchFrame.ts';
import {
  add,
  distance,
  dot,
  length,
  normalize,
  scale,
  subtract,
  type Vec3,
} from '../../../src/core/base/Vec3.ts';

const VIEWPORT: Viewport = { leftPx: 0, topPx: 0, widthPx: 900, heightPx: 600 };
const fixed = { seed: 20240, numRuns: 200 };

const coordinate = fc.double({ min: -40, max: 40, noNaN: true });
const point = fc.tuple(coordinate, coordinate, coordinate);
const direction = fc
  .tuple(coordinate, coordinate, coordinate)
  .filter((v) => length(v) > 0.1)
  .map((v) => normalize(v));
const view = fc
  .record({
    targetMm: point,
    toward: direction,
    wish: direction,
    spanMm: fc.double({ min: 3, max: 150, noNaN: true }),
  })
  .map(
    ({ targetMm, toward, wish, spanMm }): CameraView => ({
      targetMm,
      toward,
      up: upright(wish, toward),
      spanMm,
    }),
  );

const isUpright = (v: CameraView): void => {
  expect(length(v.toward)).toBeCloseTo(1, 9);
  expect(length(v.up)).toBeCloseTo(1, 9);
  expect(dot(v.toward, v.up)).toBeCloseTo(0, 9);
};

describe('cameraView', () => {
  it('shows a point on the line of sight of its own pixel', () => {
    fc.assert(
      fc.property(view, point, (v, p) => {
        const { originMm, direction: along } = sightLine(v, pixelOf(v, p, VIEWPORT), VIEWPORT);
        const d = subtract(p, originMm);
        expect(length(subtract(d, scale(along, dot(d, along))))).toBeLessThan(1e-9 * 400);
      }),
      fixed,
    );
  });

  it('measures: a length across the view is as many pixels as its mm say', () => {
    fc.assert(
      fc.property(view, point, fc.double({ min: 0.1, max: 20, noNaN: true }), (v, p, mm) => {
        const [ax, ay] = pixelOf(v, p, VIEWPORT);
        const [bx, by] = pixelOf(v, add(p, scale(rightOf(v), mm)), VIEWPORT);
        expect(bx - ax).toBeCloseTo((mm * VIEWPORT.heightPx) / v.spanMm, 6);
        expect(by - ay).toBeCloseTo(0, 6);
      }),
      fixed,
    );
  });

  it('turns about a pivot that stays on its pixel, and keeps the view a rotation', () => {
    const angle = fc.double({ min: -3, max: 3, noNaN: true });
    fc.assert(
      fc.property(view, point, angle, angle, (v, pivot, dx, dy) => {
        const after = orbited(v, dx, dy, pivot);
        isUpright(after);
        isUpright(rolled(after, dx));
        const [ax, ay] = pixelOf(v, pivot, VIEWPORT);
        const [bx, by] = pixelOf(after, pivot, VIEWPORT);
        expect(bx).toBeCloseTo(ax, 5);
        expect(by).toBeCloseTo(ay, 5);
      }),
      fixed,
    );
  });

  it('follows a drag and zooms about the pointer', () => {
    fc.assert(
      fc.property(view, point, (v, p) => {
        const [ax, ay] = pixelOf(v, p, VIEWPORT);
        const [bx, by] = pixelOf(panned(v, 30, -12, VIEWPORT), p, VIEWPORT);
        expect(bx - ax).toBeCloseTo(30, 6);
        expect(by - ay).toBeCloseTo(-12, 6);
        const at = onTargetPlane(v, [200, 150], VIEWPORT);
        const near = zoomed(v, 1.4, [200, 150], VIEWPORT);
        expect(pixelOf(near, at, VIEWPORT)[0]).toBeCloseTo(200, 6);
        expect(pixelOf(near, at, VIEWPORT)[1]).toBeCloseTo(150, 6);
      }),
      fixed,
    );
  });

  it('glides from one view to the other through upright views', () => {
    fc.assert(
      fc.property(view, view, fc.double({ min: 0, max: 1, noNaN: true }), (a, b, ratio) => {
        isUpright(viewBetween(a, b, ratio));
        expect(viewBetween(a, b, 1)).toBe(b);
        const start = viewBetween(a, b, 0);
        expect(distance(start.targetMm, a.targetMm)).toBeLessThan(1e-9);
        expect(start.spanMm).toBeCloseTo(a.spanMm, 9);
      }),
      fixed,
    );
  });
});

/** A frame in a pose nobody would choose. */
const tiltedFrame = (): ArchFrame => archFrame([3, -8, 21], [0.3, -0.2, 0.9], [0.9, 0.4, 0.1]);

describe('named views', () => {
  // Arch-frame points. x points to the patient's right in a lower arch and to the left in an upper one.
  const rightMolar = (jaw: 'upper' | 'lower', frame: ArchFrame): Vec3 =>
    pointInScan(frame, [jaw === 'lower' ? 22 : -22, -20, 0]);
  const leftMolar = (jaw: 'upper' | 'lower', frame: ArchFrame): Vec3 =>
    pointInScan(frame, [jaw === 'lower' ? -22 : 22, -20, 0]);
  const incisor = (frame: ArchFrame): Vec3 => pointInScan(frame, [0, 14, 0]);
  const gum = (frame: ArchFrame): Vec3 => pointInScan(frame, [0, 14, -10]);

  for (const jaw of ['upper', 'lower'] as const) {
    it(`shows the patient's right on the left of the page in occlusal and front view, ${jaw}`, () => {
      const frame = tiltedFrame();
      const samples = new Float32Array([
        ...rightMolar(jaw, frame),
        ...leftMolar(jaw, frame),
        ...incisor(frame),
        ...gum(frame),
      ]);
      for (const name of ['occlusal', 'front'] as const) {
        const v = fittedView(viewDirections(name, frame, jaw), samples, VIEWPORT);
        isUpright(v);
        const [rightX] = pixelOf(v, rightMolar(jaw, frame), VIEWPORT);
        const [leftX] = pixelOf(v, leftMolar(jaw, frame), VIEWPORT);
        expect(rightX).toBeLessThan(leftX);
        for (let i = 0; i < samples.length; i += 3) {
          const [x, y] = pixelOf(v, [samples[i], samples[i + 1], samples[i + 2]], VIEWPORT);
          expect(x).toBeGreaterThan(0);
          expect(x).toBeLessThan(VIEWPORT.widthPx);
          expect(y).toBeGreaterThan(0);
          expect(y).toBeLessThan(VIEWPORT.heightPx);
        }
      }
      // On a tooth chart the upper incisors stand at the top and the lower ones at the bottom.
      const occlusal = fittedView(viewDirections('occlusal', frame, jaw), samples, VIEWPORT);
      const front = pixelOf(occlusal, incisor(frame), VIEWPORT)[1];
      const back = pixelOf(occlusal, rightMolar(jaw, frame), VIEWPORT)[1];
      expect(front < back).toBe(jaw === 'upper');
      // From the front, crowns hang down in the upper jaw and stand up in the lower one.
      const seen = fittedView(viewDirections('front', frame, jaw), samples, VIEWPORT);
      const edge = pixelOf(seen, incisor(frame), VIEWPORT)[1];
      expect(edge < pixelOf(seen, gum(frame), VIEWPORT)[1]).toBe(jaw === 'lower');
    });

    it(`looks from the patient's right, left and from behind the incisors, ${jaw}`, () => {
      const frame = tiltedFrame();
      const across = normalize(subtract(rightMolar(jaw, frame), leftMolar(jaw, frame)));
      expect(dot(viewDirections('right', frame, jaw).toward, across)).toBeCloseTo(1, 9);
      expect(dot(viewDirections('left', frame, jaw).toward, across)).toBeCloseTo(-1, 9);
      expect(dot(viewDirections('back', frame, jaw).toward, frame.forward)).toBeLessThan(0);
      expect(dot(viewDirections('back', frame, jaw).toward, frame.occlusal)).toBeGreaterThan(0);
    });
  }

  it('fits an arch clear of what tools and prompt cover, however high they are', () => {
    const frame = tiltedFrame();
    const samples = new Float32Array([
      ...rightMolar('lower', frame),
      ...leftMolar('lower', frame),
      ...incisor(frame),
    ]);
    for (const edges of [
      { topPx: 44, bottomPx: 64 },
      { topPx: 88, bottomPx: 130 },
      { topPx: 0, bottomPx: 0 },
    ]) {
      const v = fittedView(viewDirections('occlusal', frame, 'lower'), samples, VIEWPORT, edges);
      for (let i = 0; i < samples.length; i += 3) {
        const [, y] = pixelOf(v, [samples[i], samples[i + 1], samples[i + 2]], VIEWPORT);
        expect(y - VIEWPORT.topPx).toBeGreaterThan(edges.topPx);
        expect(y - VIEWPORT.topPx).toBeLessThan(VIEWPORT.heightPx - edges.bottomPx);
      }
    }
  });

  it('puts a close-up into the middle of what is left free, where tools and prompt cover much', () => {
    const frame = tiltedFrame();
    const target = incisor(frame);
    const near = closeUpView(frame, 'lower', target, frame.forward, 0.4, 19);
    const little = { topPx: 40, bottomPx: 60 };
    expect(clearOf(near, VIEWPORT, little)).toBe(near);
    const much = { topPx: 40, bottomPx: 0.6 * VIEWPORT.heightPx };
    const [x, y] = pixelOf(clearOf(near, VIEWPORT, much), target, VIEWPORT);
    expect(x - VIEWPORT.leftPx).toBeCloseTo(VIEWPORT.widthPx / 2, 6);
    expect(y - VIEWPORT.topPx).toBeCloseTo((much.topPx + VIEWPORT.heightPx - much.bottomPx) / 2, 6);
  });

  it('tilts a close-up from the occlusal direction toward the given side', () => {
    const frame = tiltedFrame();
    const v = closeUpView(frame, 'lower', [1, 2, 3], frame.forward, 0.4, 20);
    isUpright(v);
    expect(dot(v.toward, frame.occlusal)).toBeCloseTo(Math.cos(0.4), 9);
    expect(dot(v.toward, frame.forward)).toBeCloseTo(Math.sin(0.4), 9);
  });
});
