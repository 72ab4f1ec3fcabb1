import { dot, type Vec3 } from '../base/Vec3.ts';
import { placesOnBoth } from './archRegistration.ts';
import type { ComparedCrown, ComparedScan } from './ComparedScan.ts';
import { type SurfaceSamples, spreadSamples } from './crownSamples.ts';
import { type LaidOver, type LayingStage, layOver } from './layOver.ts';
import { motionOfPoints, type RigidMotion } from './RigidMotion.ts';

const COARSE_CELL_MM = 0.9;
const FINE_CELL_MM = 0.4;
const COARSE_STAGES: readonly LayingStage[] = [
  { reachMm: 2, scaleMm: 1.5, rounds: 8 },
  { reachMm: 1, scaleMm: 0.5, rounds: 8 },
];
const FINE_STAGES: readonly LayingStage[] = [
  { reachMm: 0.6, scaleMm: 0.3, rounds: 5 },
  { reachMm: 0.4, scaleMm: 0.12, rounds: 8 },
];
/** Walls that face a neighbour may be cut: they count from full to little between these cosines. */
const OTHER_FACING = 0.55;
const WALL_FACING = 0.85;
const WALL_SHARE = 0.05;

/** How much a surface of this normal counts in laying a crown over itself. */
function unchangedShare(normal: Vec3, mesial: Vec3): number {
  const facing = Math.abs(dot(normal, mesial));
  const t = Math.max(0, Math.min(1, (facing - OTHER_FACING) / (WALL_FACING - OTHER_FACING)));
  return 1 - (1 - WALL_SHARE) * t;
}

function crownSamples(scan: ComparedScan, crown: ComparedCrown, cellMm: number): SurfaceSamples {
  const vertices = scan.vertices.vertices[crown.label];
  return spreadSamples(scan.index.mesh, vertices, cellMm, (_, normal) =>
    unchangedShare(normal, crown.mesial),
  );
}

const better = (a: LaidOver | null, b: LaidOver | null): LaidOver | null =>
  a && (!b || a.matchedRatio >= b.matchedRatio) ? a : b;

/**
 * Lays one crown of an earlier scan over the same crown of a later one: its biting, buccal and lingual surfaces;
 * the walls that face neighbours, which may have been cut, have little say. Null where it finds no likeness at all.
 *
 * Shape:    near — where the whole arch came to lie, one of the two starts; the crown's own places are the other.
 * Units:    mm.
 * Accuracy: RMS 0.03 mm and 0.4° on a real arch with other triangles — tests/core/compare/registration.test.ts.
 */
export function toothRegistration(
  earlier: ComparedScan,
  later: ComparedScan,
  tooth: number,
  near: RigidMotion | null,
): LaidOver | null {
  const from = earlier.crowns.get(tooth)!;
  const to = later.crowns.get(tooth)!;
  const accepts = (face: number): boolean => later.map.faceCrown[face] === to.label;
  const coarse = crownSamples(earlier, from, COARSE_CELL_MM);
  const starts = [motionOfPoints(placesOnBoth(from, to)), ...(near ? [near] : [])];
  let best: LaidOver | null = null;
  for (const start of starts)
    best = better(layOver(coarse, later.index, start, COARSE_STAGES, accepts), best);
  if (!best) return null;
  const fine = crownSamples(earlier, from, FINE_CELL_MM);
  return layOver(fine, later.index, best.motion, FINE_STAGES, accepts);
}
