import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { dot, type Vec3 } from '../../../src/core/base/Vec3.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import { hasSharedScans, sharedScan } from '../../support/sharedScans.ts';
import { type AccuracyGroup, errorRow } from '../AccuracyRow.ts';

export const FRAME_TEST = 'tests/core/arch/findArchFrame.test.ts';
export const FRAME_BOUND_DEG = 5;

const angleDeg = (a: Vec3, b: Vec3): number => (Math.acos(Math.min(1, dot(a, b))) * 180) / Math.PI;

/** The axes along which the real scans lie in their files, as their labels show. */
const LIE = [
  ['arch-b-upper', [0, 0, -1], [0, -1, 0]],
  ['crowns-a-upper', [0, -1, 0], [0, 0, 1]],
  ['crowns-a-lower', [0, 1, 0], [0, 0, 1]],
] as const;

export const frame: AccuracyGroup = {
  name: 'frame',
  rows: async (progress) => {
    if (!hasSharedScans) return [];
    const tilt: number[] = [];
    const turn: number[] = [];
    for (const [name, occlusal, forward] of LIE) {
      progress(name);
      const found = findArchFrame((await openScan(sharedScan(name), `${name}.stl`)).mesh).frame;
      tilt.push(angleDeg(found.occlusal, occlusal));
      turn.push(angleDeg(found.forward, forward));
    }
    const common = {
      surface: 'real',
      on: 'three real arches, against the axis of the file nearest to their own',
      unit: '°',
      digits: 1,
      worstBound: FRAME_BOUND_DEG,
      test: FRAME_TEST,
    } as const;
    return [
      errorRow({ ...common, what: 'Occlusal plane found: tilt', errors: tilt }),
      errorRow({ ...common, what: 'Forward direction found: turn', errors: turn }),
    ];
  },
};
