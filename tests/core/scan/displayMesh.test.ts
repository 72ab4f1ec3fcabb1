import { describe, expect, test } from 'vitest';
import { DISPLAY_ERROR_LIMIT_MM, displayMesh } from '../../../src/core/scan/displayMesh.ts';
import { makeArchStrip, makeSphere } from '../../support/meshes.ts';

const small = { drawnWhole: 1000, target: 4000 };

describe('displayMesh', () => {
  test('a mesh small enough is drawn whole', async () => {
    expect(await displayMesh(makeSphere(10, 3))).toBeNull();
  });

  test('a sphere of 32,768 faces: near the target, within the reported error, on scan vertices', async () => {
    const sphere = makeSphere(10, 6);
    const display = (await displayMesh(sphere, small))!;
    expect(display.indices.length / 3).toBeLessThanOrEqual(4000);
    expect(display.indices.length / 3).toBeGreaterThan(3000);
    expect(display.errorMm).toBeLessThanOrEqual(DISPLAY_ERROR_LIMIT_MM);
    const known = new Set<string>();
    for (let i = 0; i < sphere.positions.length; i += 3)
      known.add(sphere.positions.slice(i, i + 3).join(' '));
    let worst = 0;
    for (let i = 0; i < display.indices.length; i += 3) {
      const middle = [0, 1, 2].map((k) => {
        const corners = [0, 1, 2].map((c) => display.positions[3 * display.indices[i + c] + k]);
        return (corners[0] + corners[1] + corners[2]) / 3;
      });
      worst = Math.max(worst, 10 - Math.hypot(...middle));
    }
    expect(worst).toBeLessThan(2 * display.errorMm + 0.005);
    for (let i = 0; i < display.positions.length; i += 3) {
      expect(known.has(display.positions.slice(i, i + 3).join(' '))).toBe(true);
      const normal = display.normals.slice(i, i + 3);
      expect(Math.hypot(...normal)).toBeCloseTo(1, 5);
    }
  });

  test('colours go with their vertices', async () => {
    const strip = makeArchStrip(6000);
    const colors = Uint8Array.from(strip.positions, (c) => Math.abs(Math.round(c)));
    const display = (await displayMesh({ ...strip, colors }, small))!;
    expect(Array.from(display.colors!)).toEqual(
      Array.from(display.positions, (c) => Math.abs(Math.round(c))),
    );
  });
});
