import type { ArchFrame } from '../arch/ArchFrame.ts';
import type { Tooth } from '../base/tooth.ts';
import { distance, mix, type Vec3 } from '../base/Vec3.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import { archTangent } from './archTangent.ts';
import { directionsAlong, inOcclusalPlane } from './localDirections.ts';
import type { MarkSite, PlacedMark } from './Mark.ts';
import { slidTo, snapTip } from './snapTip.ts';
import {
  CLICK_SD_MM,
  onSurface,
  SNAPPED_SD_MM,
  type SnappedPoint,
  snapped,
  solveAlone,
  solvePair,
} from './snapTooth.ts';

export interface SnapRequest {
  readonly index: SurfaceIndex;
  readonly frame: ArchFrame;
  readonly tooth: Tooth;
  readonly site: MarkSite;
  readonly clickMm: Vec3;
  readonly marks: readonly PlacedMark[]; // other marks known so far, maybe none
}

const LEAST_SPAN_MM = 2;
const MOST_SPAN_MM = 16;
const TIP_SD_MM = 0.1;

/**
 * Snaps one click to the anatomical point meant. A contact point is the outermost point of this tooth's
 * proximal wall along its mesiodistal direction, near the click, on the right tooth even when the click
 * fell on the neighbour, and under a scanner's web where there is one. A cusp tip is the highest place near
 * the click, an incisal point the crest of the edge, midway between the contact points when both are known.
 *
 * For the second contact point of a tooth call `snapTooth` with both clicks and move both marks: it is
 * better, since the first was snapped before the crown's own direction was known. This function serves the
 * first click, a dragged mark and tips.
 *
 * Units:    mm.
 * Refuses:  'no-surface-near' (nothing within 2 mm).
 * Accuracy: as snapTooth, which it begins — tests/core/marks/snapAccuracy.test.ts.
 * Source:   our definition, DEVELOPERS.md#contact-point.
 */
export function snapToAnatomy(request: SnapRequest): SnappedPoint {
  const { index, frame, tooth, site, clickMm, marks } = request;
  const surfaceMm = onSurface(index, clickMm, 'snapToAnatomy');
  const own = (wanted: MarkSite): Vec3 | null =>
    marks.find((m) => m.tooth === tooth && m.site === wanted)?.pointMm ?? null;
  if (site === 'mesial' || site === 'distal') {
    const partner = own(site === 'mesial' ? 'distal' : 'mesial');
    const guess = { pointMm: surfaceMm, placeSdMm: CLICK_SD_MM };
    const spanMm = partner ? distance(partner, surfaceMm) : 0;
    if (!partner || spanMm < LEAST_SPAN_MM || spanMm > MOST_SPAN_MM)
      return snapped(clickMm, surfaceMm, solveAlone(index, frame, tooth, site, guess));
    const other = { pointMm: partner, placeSdMm: SNAPPED_SD_MM, known: true as const };
    const [m, d] =
      site === 'mesial'
        ? solvePair(index, frame, tooth, guess, other)
        : solvePair(index, frame, tooth, other, guess);
    return snapped(clickMm, surfaceMm, site === 'mesial' ? m : d);
  }
  let pointMm = snapTip(index, frame, surfaceMm, null);
  if (site === 'incisal') {
    const along = directionsAlong(frame, tooth, archTangent(index.mesh, frame, tooth, surfaceMm)).mesial;
    const [mesial, distal] = [own('mesial'), own('distal')];
    if (mesial && distal) {
      const axis = inOcclusalPlane(
        frame,
        [mesial[0] - distal[0], mesial[1] - distal[1], mesial[2] - distal[2]],
        along,
      );
      const start = index.closestPoint(slidTo(surfaceMm, axis, mix(mesial, distal, 0.5)), 2)?.pointMm;
      pointMm = snapTip(index, frame, start ?? surfaceMm, axis);
    } else pointMm = snapTip(index, frame, surfaceMm, along);
  }
  const movedMm = distance(clickMm, pointMm);
  return { pointMm, movedMm, confidence: Math.max(0.2, Math.min(1, 1.4 - 0.5 * movedMm)), sdMm: TIP_SD_MM };
}
