import { type Contact, siteFacing } from '../base/tooth.ts';
import { dot, mix, normalize, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import type { ComparedCrown, ComparedScan } from './ComparedScan.ts';
import { axesAt, gapBetween, wallLevel } from './wallLevel.ts';

/** Free distance between two neighbours' walls where they come nearest; null where a wall cannot be found. */
export function separationOf(scan: ComparedScan, [a, b]: Contact): Estimate | null {
  const [crownA, crownB] = [scan.crowns.get(a)!, scan.crowns.get(b)!];
  const facing = (crown: ComparedCrown, neighbour: number) => {
    const mesial = siteFacing(crown.tooth, neighbour) === 'mesial';
    const { shape } = crown;
    return {
      out: mesial ? crown.mesial : scale(crown.mesial, -1),
      pointMm: crown.sites[mesial ? 0 : 1]?.pointMm ?? (mesial ? shape.mesialMm : shape.distalMm),
    };
  };
  const [onA, onB] = [facing(crownA, b), facing(crownB, a)];
  const up = scan.frame.occlusal;
  const between = subtract(onA.out, onB.out);
  const flat: Vec3 = subtract(between, scale(up, dot(between, up)));
  if (Math.hypot(...flat) < 0.5) return null;
  const out = normalize(flat);
  const place = mix(onA.pointMm, onB.pointMm, 0.5);
  const wallA = wallLevel(scan.index, axesAt(place, out, up));
  const wallB = wallLevel(scan.index, axesAt(place, scale(out, -1), up));
  if (!wallA || !wallB) return null;
  return {
    valueMm: gapBetween(wallA, wallB),
    sdMm: Math.sqrt(wallA.varianceMm2 + wallB.varianceMm2),
  };
}
