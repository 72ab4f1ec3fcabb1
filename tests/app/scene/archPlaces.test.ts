import { describe, expect, it } from 'vitest';
import { archExtent, outwardAt, placeOfSite, towardRightAt } from '../../../src/app/scene/archPlaces.ts';
import { frameByHandle, frameHandles } from '../../../src/app/scene/frameHandles.ts';
import { sectionDirections, sectionPlane } from '../../../src/app/scene/sectionPlane.ts';
import {
  type ArchFrame,
  archFrame,
  directionInArch,
  pointInArch,
  pointInScan,
} from '../../../src/core/arch/ArchFrame.ts';
import type { Jaw } from '../../../src/core/base/tooth.ts';
import { add, distance, dot, normalize, scale, subtract, type Vec3 } from '../../../src/core/base/Vec3.ts';
import type { Mark } from '../../../src/core/marks/Mark.ts';

const tiltedFrame = (): ArchFrame => archFrame([3, -8, 21], [0.3, -0.2, 0.9], [0.9, 0.4, 0.1]);

/** Points round half an ellipse, the right side of the patient first. */
function archPoints(frame: ArchFrame, jaw: Jaw): Vec3[] {
  const side = jaw === 'lower' ? 1 : -1;
  return Array.from({ length: 29 }, (_, i) => {
    const turn = Math.PI * (0.5 - i / 28);
    return pointInScan(frame, [side * 28 * Math.sin(turn), -25 + 40 * Math.cos(turn), 0]);
  });
}

describe('places on the arch', () => {
  for (const jaw of ['upper', 'lower'] as const) {
    const frame = tiltedFrame();
    const points = archPoints(frame, jaw);
    const extent = archExtent(new Float32Array(points.flat()), frame);

    it(`points outward and along, ${jaw}`, () => {
      points.slice(2, -2).forEach((p, i) => {
        const travel = normalize(subtract(points[i + 1], points[i + 3])); // toward the patient's right
        expect(dot(towardRightAt(p, frame, jaw, extent), travel)).toBeGreaterThan(0.9);
        expect(Math.abs(dot(outwardAt(p, frame, extent), travel))).toBeLessThan(0.45);
        expect(dot(outwardAt(p, frame, extent), frame.occlusal)).toBeCloseTo(0, 9);
      });
      expect(dot(outwardAt(points[14], frame, extent), frame.forward)).toBeGreaterThan(0.99);
    });

    it(`finds a site at its mark, and guesses the others on the right side and in order, ${jaw}`, () => {
      const quadrants = jaw === 'lower' ? [40, 30] : [10, 20];
      const sites = [6, 4, 2].flatMap((n) => [quadrants[0] + n, quadrants[1] + n]);
      for (const tooth of sites) {
        const { pointMm, exact } = placeOfSite(tooth, 'mesial', [], frame, jaw, extent);
        expect(exact).toBe(false);
        const [x] = pointInArch(frame, pointMm);
        const toRight = jaw === 'lower' ? x : -x;
        expect(toRight > 0).toBe(Math.floor(tooth / 10) === quadrants[0] / 10);
      }
      const mark = { tooth: quadrants[0] + 6, site: 'mesial' as const, pointMm: points[6] };
      expect(placeOfSite(mark.tooth, 'mesial', [mark], frame, jaw, extent)).toEqual({
        pointMm: points[6],
        exact: true,
      });
      const distal = placeOfSite(mark.tooth, 'distal', [mark], frame, jaw, extent).pointMm;
      expect(distance(distal, points[6])).toBeCloseTo(10.5, 0);
      expect(pointInArch(frame, distal)[1]).toBeLessThan(pointInArch(frame, points[6])[1]);
    });

    it(`cuts along the arch with the outer side away, across with the neighbour away, ${jaw}`, () => {
      const tooth = (jaw === 'lower' ? 40 : 10) + 4;
      const place = (site: 'mesial' | 'distal') => ({
        pointsMm: null,
        contact: null,
        site: { tooth, site, pointMm: points[8] },
      });
      const cutAt = (
        site: 'mesial' | 'distal',
        kind: 'along' | 'across',
        offsetMm: number,
        marks: readonly Mark[] = [],
      ) => {
        const at = place(site);
        const directions = sectionDirections(at, marks, frame, jaw, extent);
        if (!directions) throw new Error('no directions at a site');
        return sectionPlane(at, directions, kind, false, offsetMm, frame, jaw).cut;
      };
      const along = cutAt('mesial', 'along', 0.5);
      expect(dot(along.normal, outwardAt(points[8], frame, extent))).toBeCloseTo(1, 9);
      expect(distance(along.pointMm, points[8])).toBeCloseTo(0.5, 9);
      const forward = normalize(subtract(points[9], points[7])); // toward the midline on the right side
      expect(dot(cutAt('mesial', 'across', 0).normal, forward)).toBeGreaterThan(0.9);
      expect(dot(cutAt('distal', 'across', 0).normal, forward)).toBeLessThan(-0.9);
      // A turned tooth with both marks is cut across its own width, not the arch's.
      const mesialMm = add(points[8], scale(frame.forward, 3));
      const marks: readonly Mark[] = [
        { tooth, site: 'distal', pointMm: points[8] },
        { tooth, site: 'mesial', pointMm: mesialMm },
      ];
      expect(dot(cutAt('mesial', 'across', 0, marks).normal, frame.forward)).toBeCloseTo(1, 9);
      const nowhere = { pointsMm: null, contact: null, site: null };
      expect(sectionDirections(nowhere, [], frame, jaw, extent)).toBeNull();
    });
  }
});

describe('frame handles', () => {
  it('turns the frame so that the dragged tip comes under the pointer', () => {
    const frame = tiltedFrame();
    const viewport = { leftPx: 0, topPx: 0, widthPx: 800, heightPx: 600 };
    const view = { targetMm: frame.originMm, toward: frame.occlusal, up: frame.forward, spanMm: 100 };
    const forward = frameHandles(frame, view, viewport).find((handle) => handle.label === 'Forward');
    // 30° to the right of straight up, at the tip's own distance from the middle.
    const reachPx = distance(forward!.pointMm, frame.originMm) * 6;
    const at = [400 + reachPx * Math.sin(Math.PI / 6), 300 - reachPx * Math.cos(Math.PI / 6)] as const;
    const turned = frameByHandle(frame, forward!.pointMm, at, view, viewport);
    const [x, y, z] = directionInArch(frame, turned.forward);
    expect(x).toBeCloseTo(0.5, 6);
    expect(y).toBeCloseTo(Math.cos(Math.PI / 6), 6);
    expect(z).toBeCloseTo(0, 6);
    expect(dot(turned.occlusal, frame.occlusal)).toBeCloseTo(1, 9);
    // The occlusal handle, seen end-on, tips the plane toward the drag.
    const occlusal = frameHandles(frame, view, viewport).find((handle) => handle.label === 'Occlusal');
    const tipped = frameByHandle(frame, occlusal!.pointMm, [400, 250], view, viewport);
    expect(directionInArch(frame, tipped.occlusal)[1]).toBeGreaterThan(0.1);
    expect(directionInArch(frame, tipped.occlusal)[0]).toBeCloseTo(0, 9);
  });
});
