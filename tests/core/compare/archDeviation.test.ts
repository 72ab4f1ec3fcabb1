import { describe, expect, it } from 'vitest';
import { archDeviation } from '../../../src/core/compare/archDeviation.ts';
import type { ComparedScan } from '../../../src/core/compare/ComparedScan.ts';
import { motionAbout } from '../../../src/core/compare/RigidMotion.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeSphere } from '../../support/meshes.ts';

/** A ball as a scan of one crown, whose upper half is labelled. */
function ball(radiusMm: number, level: number): ComparedScan {
  const mesh = makeSphere(radiusMm, level);
  const faceCrown = Uint8Array.from({ length: mesh.indices.length / 3 }, (_, f) =>
    mesh.positions[3 * mesh.indices[3 * f] + 2] > 1 ? 1 : 0,
  );
  return {
    index: surfaceIndex(mesh),
    map: { faceCrown },
    crowns: new Map([[36, { label: 1 }]]),
  } as unknown as ComparedScan;
}

describe('signed distances for the map', () => {
  it.each([
    ['few vertices', 5],
    ['many, one of each cell asked', 8],
  ] as const)('a larger ball lies outside, a shifted one on one side only: %s', (_, level) => {
    const [earlier, later] = [ball(10, level), ball(10.3, 5)];
    const { positions } = earlier.index.mesh;
    const shifted = motionAbout([0, 0, 0], [0, 0, 0], [0, 0, 0.3]);
    const still = motionAbout([0, 0, 0], [0, 0, 0], [0, 0, 0]);
    const found = archDeviation(earlier, later, still, [{ tooth: 36, motion: shifted }]);
    for (let v = 0; v < found.wholeArch.length; v++) {
      expect(Math.abs(found.wholeArch[v] - 0.3)).toBeLessThan(0.02); // triangles of 0.5 mm on a ball of 10 mm
      const z = positions[3 * v + 2];
      if (z < 0.5) expect(found.eachTooth[v]).toBeNaN();
      // moved up by 0.3 mm, the top of the smaller ball touches the larger one
      if (z > 1.5) expect(Math.abs(found.eachTooth[v] - (0.3 - 0.03 * z))).toBeLessThan(0.03);
    }
  });
});
