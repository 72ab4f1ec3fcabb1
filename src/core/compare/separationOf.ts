import { type Contact, siteFacing } from '../base/tooth.ts';
import { dot, scale, subtract } from '../base/Vec3.ts';
import { surfaceSeparationMm } from '../marks/surfaceSeparations.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import type { ComparedScan } from './ComparedScan.ts';
import { fittedGap } from './fittedGap.ts';
import type { WallLevel } from './wallLevel.ts';

const FITTED_SD_MM = 0.05;
const FACING_MM = 0.8; // contact points farther out of line do not face each other
const AGREE_MM = 0.25; // of the fitted walls with the contact points

/**
 * Free distance between two neighbouring crowns on one scan; where the surface between them does not decide, between
 * their fitted walls, if these are seen whole. Null where they are not.
 */
export function separationOf(
  scan: ComparedScan,
  [a, b]: Contact,
  walls: readonly [WallLevel | null, WallLevel | null],
): Estimate | null {
  const [onA, onB] = [sites(scan, a, b), sites(scan, b, a)];
  const found =
    onA &&
    onB &&
    surfaceSeparationMm(scan.index, scan.frame, {
      nearMm: [onA.near, onB.near],
      farMm: [onA.far, onB.far],
    });
  if (found) return { valueMm: found.separationMm, sdMm: found.sdMm };
  const [first, second] = walls;
  if (!onA || !onB || !first?.clean || !second?.clean) return null;
  const apart = subtract(onB.near, onA.near);
  const aside = subtract(apart, scale(first.axes.out, dot(apart, first.axes.out)));
  if (Math.hypot(...aside) > FACING_MM) return null;
  const gap = fittedGap({ c: first.fit.c, axes: first.axes }, { c: second.fit.c, axes: second.axes });
  if (!gap || Math.abs(gap.gapMm - dot(apart, first.axes.out)) > AGREE_MM) return null;
  const sdMm = Math.hypot(FITTED_SD_MM, Math.sqrt(first.varianceMm2 + second.varianceMm2));
  return { valueMm: Math.max(0, gap.gapMm), sdMm: Math.hypot(sdMm, Math.min(0, gap.gapMm)) };
}

function sites(scan: ComparedScan, tooth: number, neighbour: number) {
  const { sites: found } = scan.crowns.get(tooth)!;
  const [near, far] = siteFacing(tooth, neighbour) === 'mesial' ? found : [found[1], found[0]];
  return near && far ? { near: near.pointMm, far: far.pointMm } : null;
}
