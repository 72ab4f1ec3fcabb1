import { describe, expect, it } from 'vitest';
import { CROWN_TINTS, crownTint } from '../../../src/app/scene/crownTint.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeSphere } from '../../support/meshes.ts';

/** CIE 1976 L* of an sRGB colour; IEC 61966-2-1 and CIE 15. */
function lightness([r, g, b]: readonly number[]): number {
  const linear = (c: number) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4);
  const y = 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
  return y > 216 / 24389 ? 116 * Math.cbrt(y) - 16 : (24389 / 27) * y;
}

describe('tints of crowns', () => {
  it('differ from the next along the arch in lightness, so that no hue need be seen', () => {
    CROWN_TINTS.forEach((tint, i) => {
      const next = CROWN_TINTS[(i + 1) % CROWN_TINTS.length];
      expect(Math.abs(lightness(tint) - lightness(next))).toBeGreaterThan(25);
    });
  });

  const mesh = makeSphere(10, 4);
  const faceCount = mesh.indices.length / 3;
  // Crowns by height of the face, as an upper and a lower cap with gum between.
  const faceCrown = Uint8Array.from({ length: faceCount }, (_, f) => {
    const z = [0, 1, 2].reduce((sum, k) => sum + mesh.positions[3 * mesh.indices[3 * f + k] + 2], 0) / 3;
    return z > 4 ? 1 : z < -4 ? 2 : 0;
  });
  const index = surfaceIndex(mesh);

  it('fall on the vertices of a crown’s faces and leave the gum plain', async () => {
    const tint = await crownTint({ mesh, display: mesh, index }, faceCrown);
    for (let v = 0; v < mesh.positions.length / 3; v++) {
      const z = mesh.positions[3 * v + 2];
      const [r, g, b, strength] = tint.slice(4 * v, 4 * v + 4);
      if (Math.abs(z) < 3) expect([r, g, b, strength]).toEqual([0, 0, 0, 0]);
      if (Math.abs(z) > 5.5) expect(strength).toBe(153);
      // The first tint is blue, the second amber.
      if (z > 5.5) expect(b).toBeGreaterThan(r);
      if (z < -5.5) expect(r).toBeGreaterThan(b);
    }
  });

  it('of a simplified surface come from the whole one beneath', async () => {
    const kept = Array.from({ length: mesh.positions.length / 9 }, (_, i) => 3 * i);
    const positions = Float32Array.from(kept.flatMap((v) => [...mesh.positions.slice(3 * v, 3 * v + 3)]));
    const display = { ...mesh, positions };
    const tint = await crownTint({ mesh, display, index }, faceCrown);
    expect(tint).toHaveLength((4 * positions.length) / 3);
    kept.forEach((v, i) => {
      const z = mesh.positions[3 * v + 2];
      if (Math.abs(z) < 3) expect(tint[4 * i + 3]).toBe(0);
      if (Math.abs(z) > 5.5) expect(tint[4 * i + 3]).toBe(153);
    });
  });
});
