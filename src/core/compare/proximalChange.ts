import type { Tooth } from '../base/tooth.ts';
import { cross, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import type { ComparedScan, FoundSite } from './ComparedScan.ts';
import type { LaidOver } from './layOver.ts';
import { axesAt, axesMoved, type WallLevel, wallLevel } from './wallLevel.ts';

/** What became of one proximal wall between two scans. */
export interface WallChange {
  readonly tooth: Tooth;
  readonly site: 'mesial' | 'distal';
  readonly earlier: WallLevel | null;
  readonly later: WallLevel | null; // over the earlier axes, carried along with the crown
  /** Enamel gone at the contact point; positive: gone. */
  readonly gone: Estimate | null;
  readonly doubts: readonly string[];
}

const LEAST_CONFIDENCE = 0.5;
/** What a wall's likeness on another scan leaves open even when both are seen whole: noise of both, and triangles. */
const LIKENESS_SD_MM = 0.012;

/**
 * Of a cut that a web hides from sight so much does not show in the wall around it; 201 walls of eight generated pairs:
 * where the later wall is hidden whole, the fits fall by 0.72 of what is gone, SD 0.05 to 0.08 mm.
 */
const UNSEEN_CUT_RATIO = 0.3;
const UNSEEN_CUT_SD_MM = 0.06;

/** SD of a crown's laying along a direction at a place near it. */
export function layingSd({ covariance, centreMm }: LaidOver, pointMm: Vec3, direction: Vec3): number {
  const arm = cross(subtract(pointMm, centreMm), direction);
  const row = [...arm, ...direction];
  let variance = 0;
  for (let i = 0; i < 6; i++) for (let j = 0; j < 6; j++) variance += row[i] * row[j] * covariance[6 * i + j];
  return Math.sqrt(Math.max(0, variance));
}

/** Where the contact point is looked for on the earlier scan: its own, or the later one brought back where that is surer. */
function placeOf(own: FoundSite | null, back: FoundSite | null, fallback: Vec3): Vec3 {
  if (own && (own.confidence >= LEAST_CONFIDENCE || !back)) return own.pointMm;
  return back?.pointMm ?? own?.pointMm ?? fallback;
}

/**
 * Enamel gone from one proximal wall: the earlier crown is laid over the later one and the two walls are compared
 * along the crown's own mesiodistal direction at the contact point.
 *
 * Units:    mm.
 */
export function wallChange(
  earlier: ComparedScan,
  later: ComparedScan,
  tooth: Tooth,
  side: 0 | 1,
  laid: LaidOver,
): WallChange {
  const crown = earlier.crowns.get(tooth)!;
  const out = side === 0 ? crown.mesial : scale(crown.mesial, -1);
  const fallback = side === 0 ? crown.shape.mesialMm : crown.shape.distalMm;
  const place = placeOf(crown.sites[side], null, fallback);
  const axes = axesAt(place, out, earlier.frame.occlusal);
  const before = wallLevel(earlier.index, axes);
  const after = wallLevel(later.index, axesMoved(laid.motion, axes));
  const doubts: string[] = [];
  const name = side === 0 ? 'mesial' : 'distal';
  if (!before) doubts.push(`The ${name} wall cannot be seen on the earlier scan.`);
  else if (!before.clean)
    doubts.push(
      `The ${name} wall is hidden at its contact on the earlier scan and was carried on from around it.`,
    );
  if (!after) doubts.push(`The ${name} wall cannot be seen on the later scan.`);
  else if (!after.clean)
    doubts.push(
      `The ${name} wall is hidden at its contact on the later scan and was carried on from around it.`,
    );
  return { tooth, site: name, earlier: before, later: after, gone: goneBetween(before, after, laid), doubts };
}

/** Two walls seen whole by how far they reach; others by their fits, whose faults are much the same and fall out. */
function goneBetween(before: WallLevel | null, after: WallLevel | null, laid: LaidOver): Estimate | null {
  if (!before || !after) return null;
  const clean = before.clean && after.clean;
  const fallMm = clean ? before.reachMm - after.reachMm : before.fit.c[0] - after.fit.c[0];
  const hiddenRatio = after.clean ? 0 : 1 - after.fit.filledRatio;
  const shown = 1 - UNSEEN_CUT_RATIO * hiddenRatio;
  const sdMm = Math.hypot(
    Math.sqrt(before.varianceMm2 + after.varianceMm2),
    LIKENESS_SD_MM,
    UNSEEN_CUT_SD_MM * hiddenRatio,
    layingSd(laid, after.axes.originMm, after.axes.out),
  );
  return { valueMm: fallMm / shown, sdMm: sdMm / shown };
}
