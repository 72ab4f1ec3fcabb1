import { describe, expect, test } from 'vitest';
import { movedPoint, moveMatrices, rigidMove } from '../../../src/app/course/crownMoves.ts';
import { splitSeams } from '../../../src/app/course/FollowCourse.ts';
import { pointInArch, pointInScan } from '../../../src/core/arch/ArchFrame.ts';
import { distance, type Vec3 } from '../../../src/core/base/Vec3.ts';
import { TILTED } from '../../support/markArches.ts';

const FROM = { centreMm: [4, 21] as const, directionRad: 2.9, heightMm: 0 };
const TO = { centreMm: [3.2, 22.5] as const, directionRad: 3.2, heightMm: 0.4 };

describe('a crown moved in the scan frame', () => {
  const move = rigidMove(TILTED, FROM, TO);
  const inArch = (point: Vec3): Vec3 => pointInArch(TILTED, movedPoint(move, pointInScan(TILTED, point)));

  test('takes its middle to the new place, raised, and turns with its direction', () => {
    const middle = inArch([4, 21, -1]);
    expect(middle.map((v) => Math.round(v * 1e9) / 1e9)).toEqual([3.2, 22.5, -0.6]);
    const tip = inArch([4 + Math.cos(2.9), 21 + Math.sin(2.9), -1]);
    expect(tip[0] - middle[0]).toBeCloseTo(Math.cos(3.2), 9);
    expect(tip[1] - middle[1]).toBeCloseTo(Math.sin(3.2), 9);
  });

  test('keeps distances', () => {
    const [a, b]: [Vec3, Vec3] = [
      [100, -40, 310],
      [104, -38, 305],
    ];
    expect(distance(movedPoint(move, a), movedPoint(move, b))).toBeCloseTo(distance(a, b), 9);
  });

  test('is the same in the matrices the shader gets; gum and unmoved crowns stay', () => {
    const matrices = moveMatrices([42, 41], new Map([[41, move]]));
    const times = (index: number, [x, y, z]: Vec3): number[] =>
      [0, 1, 2].map((i) => {
        const at = (column: number): number => matrices[16 * index + 4 * column + i];
        return at(0) * x + at(1) * y + at(2) * z + at(3);
      });
    const point: Vec3 = [101, -43, 302];
    times(2, point).forEach((value, i) => {
      expect(value).toBeCloseTo(movedPoint(move, point)[i], 3);
    });
    expect(times(0, point)).toEqual(point);
    expect(times(1, point)).toEqual(point);
  });
});

test('faces between two crowns are told from those of one crown, or of crown and gum', () => {
  const crownOf = Uint8Array.from([0, 1, 1, 2, 2]);
  const faces = Uint32Array.from([0, 1, 2, 1, 2, 3, 0, 3, 4, 2, 3, 4, 0, 1, 3]);
  const { kept, seams } = splitSeams(faces, crownOf);
  expect([...kept]).toEqual([0, 1, 2, 0, 3, 4]);
  expect(seams).toEqual([1, 2, 3, 2, 3, 4, 0, 1, 3]);
});
