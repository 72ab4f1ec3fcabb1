import { describe, expect, it } from 'vitest';
import {
  linearOfOklab,
  oklabAt,
  scaleCss,
  scaleGradient,
  scaleLinear,
} from '../../../src/app/followup/deviationScale.ts';
import { deviationTint, scanVertices } from '../../../src/app/followup/deviationTint.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeSphere } from '../../support/meshes.ts';

/** OKLab of linear light by the forward matrices, which the scale itself does not use. */
function oklabOf([r, g, b]: readonly number[]): readonly number[] {
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

const SHARES = Array.from({ length: 41 }, (_, i) => i / 20 - 1);

describe('scale of distances', () => {
  it('white in OKLab is white', () => {
    for (const part of linearOfOklab(1, 0, 0)) expect(part).toBeCloseTo(1, 5);
  });

  it('can be shown everywhere: no part of it is outside sRGB', () => {
    for (const share of SHARES) {
      const [L, a, b] = oklabAt(share);
      for (const part of linearOfOklab(L, a, b)) {
        expect(part).toBeGreaterThanOrEqual(0);
        expect(part).toBeLessThanOrEqual(1);
      }
    }
  });

  it('takes equal steps to the eye, in what is really shown, and falls in lightness alike to both sides', () => {
    const shown = SHARES.map((share) => oklabOf(scaleLinear(share)));
    const step = (i: number) => Math.hypot(...shown[i].map((x, k) => x - shown[i - 1][k]));
    const below = SHARES.slice(1, 21).map((_, i) => step(i + 1));
    const above = SHARES.slice(21).map((_, i) => step(i + 21));
    for (const side of [below, above]) expect(Math.max(...side) / Math.min(...side)).toBeLessThan(1.01);
    expect(Math.max(...below) / Math.max(...above)).toBeLessThan(1.1);
    SHARES.forEach((_, i) => {
      expect(shown[i][0]).toBeCloseTo(shown[40 - i][0], 3);
    });
  });

  it('tells inside from outside without red and green', () => {
    // Blue against yellow is left to red-green blindness; the sides differ in it by far more than in red against green.
    for (const share of [0.25, 0.5, 1]) {
      const [inside, outside] = [oklabAt(-share), oklabAt(share)];
      expect(outside[2] - inside[2]).toBeGreaterThan(0.2 * share);
      expect(outside[2] - inside[2]).toBeGreaterThan(2 * Math.abs(outside[1] - inside[1]));
    }
  });

  it('holds what lies beyond its ends, and is written for CSS from one end to the other', () => {
    expect(scaleCss(-7)).toBe(scaleCss(-1));
    expect(scaleGradient().startsWith(`linear-gradient(to right, ${scaleCss(-1)}`)).toBe(true);
    expect(scaleGradient().endsWith(`${scaleCss(1)})`)).toBe(true);
  });
});

describe('distances as colours of the drawn vertices', () => {
  const mesh = makeSphere(10, 3);
  const index = surfaceIndex(mesh);

  it('leave plain what has no distance, and colour the rest by side', async () => {
    const distances = Float32Array.from({ length: mesh.positions.length / 3 }, (_, v) => {
      const z = mesh.positions[3 * v + 2];
      return z > 3 ? 0.4 : z < -3 ? -0.4 : Number.NaN;
    });
    const tint = await deviationTint(distances, await scanVertices({ mesh, display: mesh, index }), 0.4);
    distances.forEach((mm, v) => {
      const [r, , b, strength] = tint.slice(4 * v, 4 * v + 4);
      if (Number.isNaN(mm)) expect(strength).toBe(0);
      else expect(mm > 0 ? r - b : b - r).toBeGreaterThan(20);
    });
  });

  it('of a simplified surface are those of the scan’s own vertices', async () => {
    const kept = Array.from({ length: mesh.positions.length / 9 }, (_, i) => 3 * i);
    const positions = Float32Array.from(kept.flatMap((v) => [...mesh.positions.slice(3 * v, 3 * v + 3)]));
    const vertexOf = await scanVertices({ mesh, display: { ...mesh, positions }, index });
    expect([...(vertexOf ?? [])]).toEqual(kept);
  });
});
