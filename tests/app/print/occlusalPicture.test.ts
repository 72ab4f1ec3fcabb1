import { describe, expect, it } from 'vitest';
import { type OcclusalPicture, occlusalPicture } from '../../../src/app/print/occlusalPicture.ts';
import { archFrame } from '../../../src/core/arch/ArchFrame.ts';
import type { Jaw } from '../../../src/core/base/tooth.ts';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import { makeBox, makeMesh, makeSphere } from '../../support/meshes.ts';

const UPRIGHT = archFrame([0, 0, 0], [0, 0, 1], [0, 1, 0]);
const PX_PER_MM = 20;

/** RGBA at a point of the paper, mm. */
function at({ pixels, widthPx, fromMm }: OcclusalPicture, xMm: number, yMm: number): readonly number[] {
  const x = Math.floor((xMm - fromMm[0]) * PX_PER_MM);
  const y = Math.floor((yMm - fromMm[1]) * PX_PER_MM);
  return [...pixels.subarray(4 * (y * widthPx + x), 4 * (y * widthPx + x) + 4)];
}

const areaMm2 = ({ pixels }: OcclusalPicture): number =>
  pixels.filter((value, i) => i % 4 === 3 && value > 0).length / PX_PER_MM ** 2;

describe('a scan drawn from above for the paper', () => {
  it('a sphere covers the disc of its radius, in any pose of the scan', () => {
    const radiusMm = 4;
    for (const frame of [UPRIGHT, archFrame([1, 2, 3], [1, 0, 0], [0, 0.6, 0.8])]) {
      const picture = occlusalPicture(makeSphere(radiusMm, 5), frame, 'lower', PX_PER_MM);
      // A polyhedron of 8,192 triangles lies inside the sphere; edges count by whole pixels.
      expect(areaMm2(picture)).toBeGreaterThan(Math.PI * radiusMm ** 2 * 0.99);
      expect(areaMm2(picture)).toBeLessThan(Math.PI * radiusMm ** 2 * 1.01);
      expect(picture.sizeMm[0]).toBeCloseTo(2 * radiusMm, 0);
    }
  });

  it('a box is as wide and deep as it is, without holes along the edges its triangles share', () => {
    const picture = occlusalPicture(makeBox(6, 3, 2), UPRIGHT, 'lower', PX_PER_MM);
    expect(areaMm2(picture)).toBeCloseTo(18, 9);
  });

  it('has the patient’s right on the left, the front of a lower arch down and of an upper one up', () => {
    // A tile at the arch frame's (8, 5): x is the patient's right in a lower arch, left in an upper; y is forward.
    const tile = makeMesh([0, 0, 0, 1, 0, 0, 0, 1, 0, 8, 5, 0, 9, 5, 0, 8, 6, 0], [0, 1, 2, 3, 4, 5]);
    const shown = (jaw: Jaw, x: number, y: number) =>
      at(occlusalPicture(tile, UPRIGHT, jaw, PX_PER_MM), x, y)[3];
    expect(shown('lower', -8.3, 5.3)).toBe(255);
    expect(shown('lower', 8.3, 5.3)).toBe(0);
    expect(shown('upper', 8.3, -5.3)).toBe(255);
  });

  it('shows the highest surface, whichever comes first in the file, and darker what is turned from the light', () => {
    const tilted = (z: number): Vec3[] => [
      [0, 0, z],
      [4, 0, z + 3],
      [4, 4, z + 3],
      [0, 4, z],
    ];
    const flat: Vec3[] = [
      [0, 0, 4],
      [4, 0, 4],
      [4, 4, 4],
      [0, 4, 4],
    ];
    const quad = (i: number) => [i, i + 1, i + 2, i, i + 2, i + 3];
    const low = [...tilted(0), ...flat];
    const picture = (points: Vec3[], order: number[]) =>
      at(occlusalPicture(makeMesh(points.flat(), order), UPRIGHT, 'upper', PX_PER_MM), 2, -2)[0];
    const flatOnTop = picture(low, [...quad(0), ...quad(4)]);
    expect(picture(low, [...quad(4), ...quad(0)])).toBe(flatOnTop);
    const [rising, falling] = [tilted(0), tilted(0).map(([x, y, z]): Vec3 => [x, y, 3 - z])];
    expect(flatOnTop).toBeGreaterThan(200);
    // The light comes from the left of the paper.
    expect(picture(rising, quad(0))).not.toBe(picture(falling, quad(0)));
    expect(picture(rising, quad(0))).toBeGreaterThan(picture(falling, quad(0)));
  });

  it('draws a dark edge where the surface ends or falls away', () => {
    const picture = occlusalPicture(makeBox(6, 3, 2), UPRIGHT, 'lower', PX_PER_MM);
    expect(at(picture, -5.99, 1.5)[0]).toBeLessThan(40);
    expect(at(picture, -3, 1.5)[0]).toBeGreaterThan(150);
  });
});
