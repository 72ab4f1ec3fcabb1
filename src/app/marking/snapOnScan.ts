import type { Jaw } from '../../core/base/tooth.ts';
import type { Vec3 } from '../../core/base/Vec3.ts';
import { type SiteRef, useStore } from '../store.ts';

const surfaceOf = (jaw: Jaw) => {
  const { caseDocument, scans } = useStore.getState();
  const record = caseDocument.arches[jaw];
  return record ? (scans[record.scan.sha256]?.index ?? null) : null;
};

/** A nudged point may leave the surface by this much and still be brought back to it. */
const NUDGE_REACH_MM = 2;

/** The nearest point of the scan, or null where none is near. */
export const onScan = (jaw: Jaw, pointMm: Vec3): Vec3 | null =>
  surfaceOf(jaw)?.closestPoint(pointMm, NUDGE_REACH_MM)?.pointMm ?? null;

export function snapOnScan(_jaw: Jaw, _site: SiteRef, pointMm: Vec3, _toward: Vec3): Vec3 {
  return pointMm;
}
