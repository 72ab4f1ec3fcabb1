import { describe, expect, it } from 'vitest';
import { sectionOutline } from '../../../src/app/scene/sectionOutline.ts';
import { normalize, type Vec3 } from '../../../src/core/base/Vec3.ts';

/** A sphere as latitude bands; the mesh is inscribed, so its section is a polygon in the circle. */
function sphere(radiusMm: number, rings: number, sectors: number) {
  const positions: number[] = [];
  const indices: number[] = [];
  for (let r = 0; r <= rings; r++) {
    const polar = (Math.PI * r) / rings;
    for (let s = 0; s < sectors; s++) {
      const turn = (2 * Math.PI * s) / sectors;
      positions.push(
        radiusMm * Math.sin(polar) * Math.cos(turn),
        radiusMm * Math.sin(polar) * Math.sin(turn),
        radiusMm * Math.cos(polar),
      );
    }
  }
  for (let r = 0; r < rings; r++) {
    for (let s = 0; s < sectors; s++) {
      const a = r * sectors + s;
      const b = r * sectors + ((s + 1) % sectors);
      indices.push(a, a + sectors, b, b, a + sectors, b + sectors);
    }
  }
  return { positions: Float32Array.from(positions), indices: Uint32Array.from(indices) };
}

const lengthOf = (segments: Float32Array): number => {
  let sum = 0;
  for (let i = 0; i < segments.length; i += 6) {
    sum += Math.hypot(
      segments[i + 3] - segments[i],
      segments[i + 4] - segments[i + 1],
      segments[i + 5] - segments[i + 2],
    );
  }
  return sum;
};

describe('sectionOutline', () => {
  const mesh = sphere(5, 180, 240);

  it('cuts a sphere in a circle of the known length, in any direction', () => {
    const directions: readonly Vec3[] = [[0, 0, 1], normalize([1, 2, 3]), normalize([-3, 1, 0.2])];
    for (const normal of directions) {
      const heightMm = 2.1;
      const segments = sectionOutline(
        mesh,
        { pointMm: [normal[0] * heightMm, normal[1] * heightMm, normal[2] * heightMm], normal },
        20,
      );
      // The inscribed polygon is shorter than the circle by less than one part in a thousand at this density.
      const circle = 2 * Math.PI * Math.sqrt(25 - heightMm * heightMm);
      expect(lengthOf(segments)).toBeLessThan(circle * 1.00001);
      expect(lengthOf(segments)).toBeGreaterThan(circle * 0.999);
      for (let i = 0; i < segments.length; i += 3) {
        const along =
          segments[i] * normal[0] + segments[i + 1] * normal[1] + segments[i + 2] * normal[2] - heightMm;
        expect(Math.abs(along)).toBeLessThan(1e-5); // float32 positions of 5 mm
      }
    }
  });

  it('leaves out faces beyond the radius, and finds nothing where the plane misses', () => {
    const whole = sectionOutline(mesh, { pointMm: [5, 0, 0], normal: [0, 0, 1] }, 30);
    const near = sectionOutline(mesh, { pointMm: [5, 0, 0], normal: [0, 0, 1] }, 2);
    expect(near.length).toBeGreaterThan(0);
    expect(near.length).toBeLessThan(whole.length / 4);
    for (let i = 0; i < near.length; i += 3) expect(Math.hypot(near[i] - 5, near[i + 1])).toBeLessThan(2.3);
    expect(sectionOutline(mesh, { pointMm: [0, 0, 6], normal: [0, 0, 1] }, 30)).toHaveLength(0);
  });
});
