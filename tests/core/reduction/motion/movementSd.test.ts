import { describe, expect, test } from 'vitest';
import type { Vec3 } from '../../../../src/core/base/Vec3.ts';
import { movementSd } from '../../../../src/core/reduction/motion/movementSd.ts';
import { seeded } from '../../../support/markArches.ts';

const mark = (site: 'mesial' | 'distal', sdAlongMm: number, sdAcrossMm: number) => ({
  tooth: 41,
  site,
  mesiodistal: [1, 0, 0] as Vec3,
  sdAlongMm,
  sdAcrossMm,
  width: [0, 0, 0] as Vec3,
  line: [0, 0, 0] as Vec3,
  fourSegments: [0, 0, 0] as Vec3,
  sixSegments: [0, 0, 0] as Vec3,
});
const measures = {
  gradients: [mark('mesial', 0.07, 0.15), mark('distal', 0.1, 0.2)],
  teeth: [
    {
      tooth: 41,
      widthMm: 5.5,
      widthOcclusalMm: 5.5,
      sdMm: 0.1,
      mesialMm: [0, 20, 0] as Vec3,
      distalMm: [5.5, 20, 0] as Vec3,
      source: 'marked' as const,
      confidence: null,
    },
  ],
};

describe('how sure it is where a tooth stands', () => {
  test('is the scatter of points drawn with the errors of its marks', () => {
    const random = seeded(9);
    const draws = Array.from({ length: 20_000 }, () => {
      const [mx, my] = [0.07 * random.normal(), 20 + 0.15 * random.normal()];
      const [dx, dy] = [5.5 + 0.1 * random.normal(), 20 + 0.2 * random.normal()];
      return { along: (mx + dx) / 2, out: (my + dy) / 2, turn: Math.atan2(dy - my, dx - mx) };
    });
    const scatter = (of: (draw: (typeof draws)[number]) => number): number => {
      const mean = draws.reduce((sum, draw) => sum + of(draw), 0) / draws.length;
      return Math.sqrt(draws.reduce((sum, draw) => sum + (of(draw) - mean) ** 2, 0) / draws.length);
    };
    const sd = movementSd(measures, 41)!;
    expect(sd.alongMm / scatter((d) => d.along)).toBeCloseTo(1, 1);
    expect(sd.outwardMm / scatter((d) => d.out)).toBeCloseTo(1, 1);
    expect(sd.turnRad / scatter((d) => d.turn)).toBeCloseTo(1, 1);
  });

  test('is not known where a contact point is not', () => {
    expect(movementSd({ ...measures, gradients: measures.gradients.slice(1) }, 41)).toBeNull();
    expect(movementSd(measures, 42)).toBeNull();
  });
});
