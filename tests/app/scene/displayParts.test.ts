import { describe, expect, it } from 'vitest';
import { displayParts } from '../../../src/app/scene/displayParts.ts';

/** A square sheet z = f(x, y) with upward normals from the slope. */
function sheet(sizeMm: number, cells: number, height: (x: number, y: number) => number) {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const step = sizeMm / cells;
  for (let j = 0; j <= cells; j++) {
    for (let i = 0; i <= cells; i++) {
      const x = i * step - sizeMm / 2;
      const y = j * step - sizeMm / 2;
      const e = 1e-4;
      const dx = (height(x + e, y) - height(x - e, y)) / (2 * e);
      const dy = (height(x, y + e) - height(x, y - e)) / (2 * e);
      const size = Math.hypot(dx, dy, 1);
      positions.push(x, y, height(x, y));
      normals.push(-dx / size, -dy / size, 1 / size);
    }
  }
  for (let j = 0; j < cells; j++) {
    for (let i = 0; i < cells; i++) {
      const a = j * (cells + 1) + i;
      indices.push(a, a + 1, a + cells + 1, a + 1, a + cells + 2, a + cells + 1);
    }
  }
  return {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    indices: Uint32Array.from(indices),
    colors: null,
  };
}

describe('displayParts', () => {
  it('keeps every face once, in blocks whose sphere holds it', async () => {
    const mesh = sheet(60, 50, (x, y) => Math.sin(x / 4) * Math.cos(y / 5));
    const { blocks } = await displayParts(mesh);
    expect(blocks.length).toBeGreaterThan(8);
    const key = (a: number, b: number, c: number): string => `${a},${b},${c}`;
    const seen = new Set<string>();
    for (const { indices, centreMm, radiusMm } of blocks) {
      for (let f = 0; f < indices.length; f += 3) {
        seen.add(key(indices[f], indices[f + 1], indices[f + 2]));
        for (let k = 0; k < 3; k++) {
          const v = 3 * indices[f + k];
          const far = Math.hypot(
            mesh.positions[v] - centreMm[0],
            mesh.positions[v + 1] - centreMm[1],
            mesh.positions[v + 2] - centreMm[2],
          );
          expect(far).toBeLessThanOrEqual(radiusMm + 1e-6);
        }
      }
    }
    expect(blocks.reduce((sum, block) => sum + block.indices.length, 0)).toBe(mesh.indices.length);
    expect(seen.size).toBe(mesh.indices.length / 3);
  });

  it('rates grooves above 0, ridges below and a flat sheet 0', async () => {
    const cells = 40;
    const middle = (cells / 2) * (cells + 1) + cells / 2;
    const cavityOf = async (height: (x: number, y: number) => number): Promise<number> =>
      (await displayParts(sheet(8, cells, height))).cavity[middle];
    expect(await cavityOf(() => 0)).toBeCloseTo(0, 6);
    // A bowl of radius R has normal curvature 1 / R everywhere near its bottom; 1.6 per mm is shown in full.
    const radius = 3;
    const bowl = (x: number, y: number): number =>
      radius - Math.sqrt(radius ** 2 - Math.min(8, x * x + y * y));
    expect(await cavityOf(bowl)).toBeCloseTo(1 / radius / 1.6, 2);
    expect(await cavityOf((x, y) => -bowl(x, y))).toBeCloseTo(-1 / radius / 1.6, 2);
  });
});
