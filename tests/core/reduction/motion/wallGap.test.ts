import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Vec2 } from '../../../../src/core/base/Vec3.ts';
import { crownWall, type OwnSurface } from '../../../../src/core/reduction/motion/crownWall.ts';
import { FAR_MM, wallGap } from '../../../../src/core/reduction/motion/wallGap.ts';
import type { ScanMesh } from '../../../../src/core/scan/ScanMesh.ts';
import { makeBox, makeSphere } from '../../../support/meshes.ts';

type Axes = readonly [number, number, number];

/** Triangles of a mesh, stretched, as a crown's own surface. */
function surfaceOf({ positions, indices }: ScanMesh, stretch: Axes, halfWidthMm: number): OwnSurface {
  const points = new Float64Array(3 * indices.length);
  indices.forEach((v, i) => {
    for (let k = 0; k < 3; k++) points[3 * i + k] = positions[3 * v + k] * stretch[k];
  });
  return { points, halfWidthMm };
}

const ellipsoid = (axes: Axes): OwnSurface => surfaceOf(makeSphere(1, 5), axes, axes[0]);

/** A box about the origin, its sides cut into small squares by nothing: big triangles are crowns too. */
const box = (x: number, y: number, z: number): OwnSurface => {
  const mesh = makeBox(2 * x, 2 * y, 2 * z);
  const bounds = [0, 1, 2].map((k) => {
    const own = Array.from(mesh.positions).filter((_, i) => i % 3 === k);
    return (Math.min(...own) + Math.max(...own)) / 2;
  });
  const positions = mesh.positions.map((value, i) => value - bounds[i % 3]);
  return surfaceOf({ ...mesh, positions }, [1, 1, 1], x);
};

interface Place {
  readonly at: Vec2;
  readonly turnRad: number;
}

function gap(a: OwnSurface, b: OwnSurface, where: Place, setBackMm: readonly [number, number] = [0, 0]) {
  const pose = (at: Vec2, directionRad: number) => ({ centreMm: at, directionRad, heightMm: 0 });
  return wallGap(
    { wall: crownWall(a, 'left'), setBackMm: setBackMm[0], pose: pose([0, 0], 0) },
    { wall: crownWall(b, 'right'), setBackMm: setBackMm[1], pose: pose(where.at, where.turnRad) },
  );
}

/** Outline of an ellipse in the plane, by the angle at its middle. */
const outline = ([a, b]: Axes, { at, turnRad }: Place, count = 720): readonly Vec2[] =>
  Array.from({ length: count }, (_, i): Vec2 => {
    const angle = (2 * Math.PI * i) / count;
    const [u, v] = [a * Math.cos(angle), b * Math.sin(angle)];
    const [c, s] = [Math.cos(turnRad), Math.sin(turnRad)];
    return [at[0] + c * u - s * v, at[1] + s * u + c * v];
  });

/**
 * Signed distance of two ellipses by every pair of their outlines' points, or, where one holds points of the other, by
 * trying every way in the plane: the shortest that leaves no point of either inside the other.
 */
function bruteForce(a: Axes, b: Axes, where: Place): number {
  const origin: Place = { at: [0, 0], turnRad: 0 };
  const [first, second] = [outline(a, origin), outline(b, where)];
  const holds = ([p, q]: Axes, { at, turnRad }: Place, [x, y]: Vec2): boolean => {
    const [c, s] = [Math.cos(turnRad), Math.sin(turnRad)];
    const [dx, dy] = [x - at[0], y - at[1]];
    return ((c * dx + s * dy) / p) ** 2 + ((c * dy - s * dx) / q) ** 2 < 1;
  };
  const meet = (shift: Vec2): boolean => {
    const moved: Place = { at: [where.at[0] + shift[0], where.at[1] + shift[1]], turnRad: where.turnRad };
    return (
      second.some(([x, y]) => holds(a, origin, [x + shift[0], y + shift[1]])) ||
      first.some((point) => holds(b, moved, point))
    );
  };
  if (!meet([0, 0])) {
    let least = Number.POSITIVE_INFINITY;
    for (const [x, y] of first)
      for (const [u, v] of second) least = Math.min(least, Math.hypot(x - u, y - v));
    return least;
  }
  let least = Number.POSITIVE_INFINITY;
  for (let degrees = -90; degrees <= 90; degrees += 1) {
    const angle = (degrees * Math.PI) / 180;
    let [low, high] = [0, 3];
    for (let i = 0; i < 14; i++) {
      const middle = (low + high) / 2;
      if (meet([middle * Math.cos(angle), middle * Math.sin(angle)])) low = middle;
      else high = middle;
    }
    least = Math.min(least, high);
  }
  return -least;
}

describe('gap between two crowns', () => {
  const ball = ellipsoid([3.5, 3.5, 3.5]);

  test('two balls: the distance of their middles less their radii, apart or overlapping, however they lie', () => {
    for (const distanceMm of [6, 6.6, 6.9, 7, 7.2, 8, 9])
      for (const degrees of [0, 10, 25, 45, 60]) {
        const angle = (degrees * Math.PI) / 180;
        const at: Vec2 = [distanceMm * Math.cos(angle), distanceMm * Math.sin(angle)];
        expect(gap(ball, ball, { at, turnRad: 0 })).toBeGreaterThan(distanceMm - 7 - 0.02);
        expect(gap(ball, ball, { at, turnRad: 0 })).toBeLessThan(distanceMm - 7 + 0.04);
      }
  });

  test('enamel off either wall opens the gap by as much', () => {
    expect(gap(ball, ball, { at: [7, 0], turnRad: 0 }, [0.3, 0.2])).toBeCloseTo(0.5, 1);
    expect(gap(ball, ball, { at: [6.6, 0], turnRad: 0 }, [0.1, 0.1])).toBeCloseTo(-0.2, 1);
  });

  test('boxes: face to face, and a corner to a face', () => {
    const block = box(3, 2.4, 2.4);
    for (const free of [-0.5, -0.1, 0.2, 1])
      expect(gap(block, block, { at: [6 + free, 0], turnRad: 0 })).toBeCloseTo(free, 3);
    for (const degrees of [10, 20, -30])
      for (const free of [-0.3, 0.25]) {
        const angle = (degrees * Math.PI) / 180;
        const reach = 3 * Math.cos(angle) + 2.4 * Math.abs(Math.sin(angle));
        // The corner that comes first lies before the face of the other.
        const found = gap(block, block, { at: [3 + free + reach, 0], turnRad: angle });
        // A corner can fall between two places of the grid.
        expect(Math.abs(found - free)).toBeLessThan(0.08);
      }
  });

  test('beside each other with no line between: the nearest distance', () => {
    const small = ellipsoid([3, 1, 3]);
    const found = gap(small, small, { at: [0.5, 4.5], turnRad: 0 });
    expect(found).toBeGreaterThan(2);
    expect(found).toBeLessThanOrEqual(FAR_MM);
  });

  test('further apart than it matters is told as so far', () => {
    expect(gap(ball, ball, { at: [14, 0], turnRad: 0 })).toBe(FAR_MM);
  });

  test('ellipsoids in any place: equal to a search through all pairs of points', () => {
    const half = fc.double({ min: 2.4, max: 4, noNaN: true });
    fc.assert(
      fc.property(
        fc.tuple(half, half),
        fc.tuple(half, half),
        fc.double({ min: -0.8, max: 1, noNaN: true }),
        fc.double({ min: -1.5, max: 1.5, noNaN: true }),
        fc.double({ min: -0.5, max: 0.5, noNaN: true }),
        ([a, b], [c, d], free, aside, turnRad) => {
          const [first, second]: [Axes, Axes] = [
            [a, b, 3.5],
            [c, d, 3.5],
          ];
          const where: Place = { at: [a + c + free, aside], turnRad };
          const expected = bruteForce(first, second, where);
          const found = gap(ellipsoid(first), ellipsoid(second), where);
          expect(Math.abs(found - expected)).toBeLessThan(0.05);
        },
      ),
      { seed: 7, numRuns: 12 },
    );
  });

  test('a wall with a hole where the neighbours touched is closed at the height of its rim', () => {
    const whole = ellipsoid([3.5, 3.5, 3.5]);
    const kept: number[] = [];
    for (let i = 0; i < whole.points.length; i += 9) {
      const [u, v, z] = [0, 1, 2].map(
        (k) => (whole.points[i + k] + whole.points[i + 3 + k] + whole.points[i + 6 + k]) / 3,
      );
      if (Math.abs(u) > 2 && Math.hypot(v, z) < 0.8) continue;
      for (let k = 0; k < 9; k++) kept.push(whole.points[i + k]);
    }
    const holed: OwnSurface = { points: Float64Array.from(kept), halfWidthMm: 3.5 };
    const rim = 3.5 - Math.sqrt(3.5 ** 2 - 0.8 ** 2);
    const found = gap(holed, holed, { at: [7 - 0.5, 0], turnRad: 0 });
    expect(found).toBeGreaterThan(-0.5);
    expect(found).toBeLessThan(-0.5 + 2 * rim + 0.05);
  });

  test('what stands out beyond the contact point is not of this crown', () => {
    const spur = Float64Array.from([...ball.points, 3.4, 0, 0, 5, 0.2, 0.1, 5, -0.2, 0.1]);
    expect(gap({ points: spur, halfWidthMm: 3.5 }, ball, { at: [7.3, 0], turnRad: 0 })).toBeCloseTo(0.3, 1);
  });
});
