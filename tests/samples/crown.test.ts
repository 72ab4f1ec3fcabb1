import { describe, expect, it } from 'vitest';
import { Crown } from '../../src/samples/Crown.ts';
import { crownForm } from '../../src/samples/crownForms.ts';
import { drawSizes, REFERENCE } from '../../src/samples/toothSizes.ts';

const jaws = ['upper', 'lower'] as const;
const all = jaws.flatMap((jaw) => [1, 2, 3, 4, 5, 6, 7].map((position) => ({ jaw, position })));

const makeCrown = (jaw: 'upper' | 'lower', position: number): { crown: Crown; widthMm: number } => {
  const tooth = (jaw === 'upper' ? 20 : 40) + position;
  const size = drawSizes(jaw, 5, [tooth]).get(tooth)!;
  return {
    crown: new Crown(crownForm(jaw, position), REFERENCE[jaw][position - 1], size),
    widthMm: size.widthMm,
  };
};

describe.each(all)('crown $jaw $position', ({ jaw, position }) => {
  const { crown, widthMm } = makeCrown(jaw, position);

  it('has its stated extremes: the outermost inside points of a 0.1 mm scan, refined to 0.005 mm along u', () => {
    let mesial = Number.NEGATIVE_INFINITY;
    let distal = Number.POSITIVE_INFINITY;
    for (let v = -4; v <= 4; v += 0.1)
      for (let w = 0.3 * crown.heightMm; w < crown.heightMm; w += 0.1) {
        for (let u = 0.25 * widthMm; u < 0.6 * widthMm; u += 0.005)
          if (crown.distance(u, v, w) < 0) mesial = Math.max(mesial, u);
        for (let u = -0.6 * widthMm; u < -0.25 * widthMm; u += 0.005)
          if (crown.distance(u, v, w) < 0) distal = Math.min(distal, u);
      }
    // the scan steps by 0.005 mm in u and misses the very crest by up to 0.1 mm in v and w (radius ≥ 0.5 mm)
    expect(crown.mesialMm[0]).toBeGreaterThan(mesial - 1e-6);
    expect(crown.mesialMm[0] - mesial).toBeLessThan(0.012);
    expect(crown.distalMm[0]).toBeLessThan(distal + 1e-6);
    expect(distal - crown.distalMm[0]).toBeLessThan(0.012);
  });

  it('is exactly as wide as asked, and its extremes lie on its surface', () => {
    expect(crown.mesialMm[0] - crown.distalMm[0]).toBeCloseTo(widthMm, 6);
    expect(Math.abs(crown.distance(...crown.mesialMm))).toBeLessThan(1e-6);
    expect(Math.abs(crown.distance(...crown.distalMm))).toBeLessThan(1e-6);
  });

  it('has its contacts in the occlusal half and its tip on the surface, at the height within 1 mm', () => {
    for (const point of [crown.mesialMm, crown.distalMm]) {
      expect(point[2] / crown.heightMm).toBeGreaterThan(0.5);
      expect(point[2] / crown.heightMm).toBeLessThan(0.9);
    }
    const tip = position <= 2 ? crown.incisalMiddle() : crown.cuspTip();
    expect(Math.abs(crown.distance(...tip))).toBeLessThan(1e-6);
    expect(Math.abs(tip[2] - crown.heightMm)).toBeLessThan(1);
    for (const [du, dv] of position <= 2
      ? [
          [0, 0.05],
          [0, -0.05],
        ]
      : [
          [0.05, 0],
          [-0.05, 0],
          [0, 0.05],
          [0, -0.05],
        ])
      expect(crown.heightAt(tip[0] + du, tip[1] + dv)).toBeLessThanOrEqual(tip[2] + 1e-6);
  });

  it('measures like a tooth: narrower at the cervix than at the contacts', () => {
    let cervix = 0;
    for (let u = 0; u < 6; u += 0.01) if (crown.distance(u, 0, 0.05 * crown.heightMm) < 0) cervix = u;
    expect(cervix / (widthMm / 2)).toBeGreaterThan(0.6);
    expect(cervix / (widthMm / 2)).toBeLessThan(0.85);
  });
});
