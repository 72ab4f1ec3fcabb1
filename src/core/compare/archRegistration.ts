import { sideways } from '../arch/ArchFrame.ts';
import type { Tooth } from '../base/tooth.ts';
import { distance } from '../base/Vec3.ts';
import type { ComparedCrown, ComparedScan } from './ComparedScan.ts';
import { type SurfaceSamples, spreadSamples } from './crownSamples.ts';
import { type LaidOver, type LayingStage, layOver } from './layOver.ts';
import {
  motionAfter,
  motionBack,
  motionOfPoints,
  movedBy,
  type PointPair,
  type RigidMotion,
} from './RigidMotion.ts';

/** Teeth that stand on both scans. */
export const teethOnBoth = (earlier: ComparedScan, later: ComparedScan): readonly Tooth[] =>
  [...earlier.crowns.keys()].filter((tooth) => later.crowns.has(tooth));

/** Places of a crown that are found again on another scan of it to half a millimetre or so. */
const placesOf = ({ shape, centreMm, sites }: ComparedCrown) => [
  { pointMm: centreMm, weight: 0.5 }, // goes down where the gum is trimmed lower
  { pointMm: shape.edgeMm, weight: 0.5 },
  { pointMm: shape.cuspMm, weight: 0.5 },
  { pointMm: sites[0]?.pointMm ?? shape.mesialMm, weight: 1 },
  { pointMm: sites[1]?.pointMm ?? shape.distalMm, weight: 1 },
];

/** The same places on both scans, of one tooth. */
export function placesOnBoth(earlier: ComparedCrown, later: ComparedCrown): readonly PointPair[] {
  const to = placesOf(later);
  return placesOf(earlier).map(({ pointMm, weight }, i) => ({
    fromMm: pointMm,
    toMm: to[i].pointMm,
    weight,
  }));
}

/** The motion that brings one scan's arch frame onto the other's. */
function frameMotion(earlier: ComparedScan, later: ComparedScan): RigidMotion {
  const toScan = ({ frame }: ComparedScan): RigidMotion => {
    const [x, y, z] = [sideways(frame), frame.forward, frame.occlusal];
    return { turn: [x[0], y[0], z[0], x[1], y[1], z[1], x[2], y[2], z[2]], shiftMm: frame.originMm };
  };
  return motionAfter(toScan(later), motionBack(toScan(earlier)));
}

const COARSE_ROUNDS = 20;
const COARSE_SCALE_MM = 1.5;

/** From crowns matched by number: places that teeth moved from have less say. */
function coarseMotion(earlier: ComparedScan, later: ComparedScan, teeth: readonly Tooth[]): RigidMotion {
  const pairs = teeth.flatMap((t) => placesOnBoth(earlier.crowns.get(t)!, later.crowns.get(t)!));
  let motion = pairs.length > 0 ? motionOfPoints(pairs) : frameMotion(earlier, later);
  for (let round = 0; round < COARSE_ROUNDS; round++) {
    motion = motionOfPoints(
      pairs.map((pair) => {
        const off = distance(movedBy(motion, pair.fromMm), pair.toMm) / COARSE_SCALE_MM;
        return { ...pair, weight: pair.weight / (1 + off * off) };
      }),
    );
  }
  return motion;
}

const ARCH_CELL_MM = 1.1;
const ARCH_STAGES: readonly LayingStage[] = [
  { reachMm: 2.5, scaleMm: 1.5, rounds: 8 },
  { reachMm: 1.2, scaleMm: 0.6, rounds: 8 },
  { reachMm: 0.8, scaleMm: 0.25, rounds: 12 },
];

/** Samples of all crowns that stand on both scans. */
function archSamples(scan: ComparedScan, teeth: readonly Tooth[]): SurfaceSamples {
  const parts = teeth.map((t) =>
    spreadSamples(scan.index.mesh, scan.vertices.vertices[scan.crowns.get(t)!.label], ARCH_CELL_MM),
  );
  const values = new Float64Array(parts.reduce((n, p) => n + p.values.length, 0));
  let at = 0;
  for (const part of parts) {
    values.set(part.values, at);
    at += part.values.length;
  }
  return { count: at / 7, values, cellMm: ARCH_CELL_MM };
}

/**
 * Lays the crowns of an earlier scan over a later one as one rigid piece: from the crowns' places, then the surfaces,
 * of which those that moved or changed have no say. Null where the surfaces do not meet.
 *
 * Units:    mm.
 * Accuracy: a start for each tooth; what follows from it is right to 0.15 mm — tests/core/compare/registration.test.ts.
 */
export function archRegistration(
  earlier: ComparedScan,
  later: ComparedScan,
  teeth: readonly Tooth[],
): LaidOver | null {
  const start = coarseMotion(earlier, later, teeth);
  const onCrowns = (face: number): boolean => later.map.faceCrown[face] !== 0;
  return layOver(archSamples(earlier, teeth), later.index, start, ARCH_STAGES, onCrowns);
}
