import type { Tooth } from '../../core/base/tooth.ts';
import { cross, dot, normalize, subtract, type Vec3 } from '../../core/base/Vec3.ts';
import type { PlacedMark } from '../../core/marks/Mark.ts';
import type { SampleTruth, ToothTruth } from '../../samples/sampleTruth.ts';
import { pointsFor } from './points.ts';

/** How far a contact point lies from where it truly is, along the directions of its tooth. */
export interface SiteScore {
  readonly site: 'mesial' | 'distal';
  readonly offMm: number;
  readonly mesialMm: number; // toward mesial
  readonly outwardMm: number; // toward cheek or lip
  readonly upMm: number; // out of the gum
}

export interface ToothScore {
  readonly tooth: Tooth;
  readonly trueMm: number;
  readonly widthMm: number | null; // null where a contact point is not marked
  readonly errorMm: number | null;
  readonly sites: readonly SiteScore[]; // of the points marked
  readonly points: number; // 0–100
}

export interface MarkScore {
  readonly teeth: readonly ToothScore[];
  readonly points: number; // mean of the teeth
  readonly rmsMm: number | null; // of the widths marked
}

/** Width errors with full and with no marks. Ours: a third and twice the error of a careful reading. */
export const WIDTH_FULL_MM = 0.1;
export const WIDTH_NONE_MM = 0.6;

/**
 * A student's contact points held against the truth of a generated arch, tooth by tooth.
 *
 * Units:    mm; width is the straight distance of the two points, as everywhere.
 */
export function markScore(
  marks: readonly PlacedMark[],
  truth: SampleTruth,
  teeth: readonly Tooth[],
): MarkScore {
  const scores = teeth.flatMap((tooth): readonly ToothScore[] => {
    const own = truth.teeth.find((t) => t.tooth === tooth);
    return own ? [toothScore(marks, truth, own)] : [];
  });
  const errors = scores.flatMap(({ errorMm }) => errorMm ?? []);
  return {
    teeth: scores,
    points: scores.reduce((sum, s) => sum + s.points, 0) / Math.max(1, scores.length),
    rmsMm: errors.length === 0 ? null : Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length),
  };
}

function toothScore(marks: readonly PlacedMark[], truth: SampleTruth, own: ToothTruth): ToothScore {
  const points = { mesial: own.mesialMm, distal: own.distalMm };
  const placed = (site: 'mesial' | 'distal'): Vec3 | null =>
    marks.find((m) => m.tooth === own.tooth && m.site === site && m.state === 'confirmed')?.pointMm ?? null;
  const outward = outwardOf(truth, own);
  const sites = (['mesial', 'distal'] as const).flatMap((site): readonly SiteScore[] => {
    const at = placed(site);
    if (!at) return [];
    const off = subtract(at, points[site]);
    return [
      {
        site,
        offMm: Math.hypot(...off),
        mesialMm: dot(off, own.mesiodistalAxis),
        outwardMm: dot(off, outward),
        upMm: dot(off, truth.frame.occlusal),
      },
    ];
  });
  const [mesial, distal] = [placed('mesial'), placed('distal')];
  const trueMm = Math.hypot(...subtract(own.mesialMm, own.distalMm));
  const widthMm = mesial && distal ? Math.hypot(...subtract(mesial, distal)) : null;
  const errorMm = widthMm === null ? null : widthMm - trueMm;
  return {
    tooth: own.tooth,
    trueMm,
    widthMm,
    errorMm,
    sites,
    points: errorMm === null ? 0 : pointsFor(errorMm, WIDTH_FULL_MM, WIDTH_NONE_MM),
  };
}

/** Across the tooth in the occlusal plane, away from the middle of the arch. */
function outwardOf({ teeth, frame }: SampleTruth, own: ToothTruth): Vec3 {
  const across = normalize(cross(own.mesiodistalAxis, frame.occlusal));
  const middle = [0, 1, 2].map(
    (k) => teeth.reduce((sum, t) => sum + t.mesialMm[k], 0) / teeth.length,
  ) as unknown as Vec3;
  const sign = dot(across, subtract(own.mesialMm, middle)) < 0 ? -1 : 1;
  return [sign * across[0], sign * across[1], sign * across[2]];
}
