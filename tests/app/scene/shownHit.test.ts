import { describe, expect, it } from 'vitest';
import { type SurfacePicker, shownHit } from '../../../src/app/scene/shownHit.ts';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';

/** Level sheets at heights 0 and 5. */
const sheets: SurfacePicker = {
  raycast: (origin, direction) => {
    const along = [0, 5]
      .map((height) => (height - origin[2]) / direction[2])
      .filter((t) => t >= 0 && Number.isFinite(t));
    if (along.length === 0) return null;
    const t = Math.min(...along);
    return {
      pointMm: [origin[0] + t * direction[0], origin[1] + t * direction[1], origin[2] + t * direction[2]],
    };
  },
};
const DOWN: Vec3 = [0, 0, -1];
const UP: Vec3 = [0, 0, 1];
const aboveTwo = { pointMm: [0, 0, 2] as Vec3, normal: UP };

describe('shownHit', () => {
  it('hits the first sheet while nothing is cut, and nothing without a surface', () => {
    expect(shownHit(sheets, null, [1, 2, 9], DOWN)).toEqual([1, 2, 5]);
    expect(shownHit(null, null, [1, 2, 9], DOWN)).toBeNull();
  });

  it('goes through what a cut takes away, down a slanted ray too', () => {
    expect(shownHit(sheets, aboveTwo, [1, 2, 9], DOWN)).toEqual([1, 2, 0]);
    const slanted = shownHit(sheets, aboveTwo, [0, 0, 9], [0.6, 0, -0.8]);
    expect(slanted?.[0]).toBeCloseTo(6.75, 12);
    expect(slanted?.[2]).toBeCloseTo(0, 12);
  });

  it('finds nothing where a ray stays in the part taken away, or first meets it from below', () => {
    expect(shownHit(sheets, aboveTwo, [0, 0, 3], UP)).toBeNull();
    expect(shownHit(sheets, aboveTwo, [0, 0, 3], [1, 0, 0])).toBeNull();
    expect(shownHit(sheets, aboveTwo, [0, 0, 1], UP)).toBeNull();
    expect(shownHit(sheets, aboveTwo, [0, 0, 1], DOWN)).toEqual([0, 0, 0]);
  });
});
