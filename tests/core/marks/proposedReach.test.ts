import { describe, expect, it } from 'vitest';
import { archFrame, sideways } from '../../../src/core/arch/ArchFrame.ts';
import {
  add,
  cross,
  dot,
  length,
  normalize,
  scale,
  subtract,
  type Vec3,
} from '../../../src/core/base/Vec3.ts';
import { crownShapes } from '../../../src/core/crowns/crownShape.ts';
import { proposeMarks } from '../../../src/core/marks/proposeMarks.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import { unpackSurfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { rms } from '../../support/proposeExperiment.ts';
import { hasSharedScans, sharedFaceTeeth, sharedScan } from '../../support/sharedScans.ts';

const NEAR_MM = 1.5; // of a proposed point, across the direction
const REACH_MM = 1.2; // and along it

// By its definition a contact point is where the crown stands out most along its mesiodistal direction. Separate
// crowns without gum show their walls whole, so that the labelled surface itself says where that is.
describe.skipIf(!hasSharedScans)('contact points proposed on separate real crowns', () => {
  it.each([
    ['crowns-a-lower', 'lower', archFrame([0, 0, 0], [0, 1, 0], [0, 0, 1])],
    ['crowns-a-upper', 'upper', archFrame([0, 0, 0], [0, -1, 0], [0, 0, 1])],
  ] as const)(
    '%s: reach the outermost surface within 0.03 mm RMS, none short by 0.08',
    async (name, jaw, frame) => {
      const { mesh, index } = await openScan(sharedScan(name), `${name}.stl`);
      const labelled = sharedFaceTeeth(name);
      const said = { missing: [], unerupted: [], thirdMolars: [] };
      const { crowns, marks } = proposeMarks(unpackSurfaceIndex(mesh, index), frame, jaw, said);
      const shortMm = crownShapes(mesh, frame, crowns).flatMap((shape) => {
        const { tooth, mesial } = shape!;
        const out = normalize(add(scale(sideways(frame), mesial[0]), scale(frame.forward, mesial[1])));
        const surface = labelled.flatMap((own, f) => (own === tooth ? [faceMiddle(mesh, f)] : []));
        return (['mesial', 'distal'] as const).map((site) => {
          const { pointMm } = marks.find((m) => m.tooth === tooth && m.site === site)!;
          const way = site === 'mesial' ? out : scale(out, -1);
          const beyond = surface
            .map((point) => subtract(point, pointMm))
            .filter((d) => length(cross(d, way)) < NEAR_MM && Math.abs(dot(d, way)) < REACH_MM)
            .map((d) => dot(d, way));
          return Math.max(...beyond);
        });
      });
      expect(shortMm.length).toBe(28);
      console.info(`${name}: short of the outermost surface RMS ${rms(shortMm).toFixed(3)} mm`);
      expect(rms(shortMm)).toBeLessThan(0.03);
      expect(Math.max(...shortMm)).toBeLessThan(0.08);
    },
  );
});

function faceMiddle(
  { positions, indices }: { positions: Float32Array; indices: Uint32Array },
  face: number,
): Vec3 {
  const sum = [0, 0, 0];
  for (let k = 0; k < 3; k++)
    for (let i = 0; i < 3; i++) sum[i] += positions[3 * indices[3 * face + k] + i] / 3;
  return [sum[0], sum[1], sum[2]];
}
