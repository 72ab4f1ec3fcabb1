import type { Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { ArchMeasures, MarkInfluence } from '../measure/ArchMeasures.ts';
import { markCovariance } from '../measure/markCovariance.ts';
import type { PerimeterMethod } from './Ledger.ts';

const GRADIENTS: Readonly<Record<PerimeterMethod, (mark: MarkInfluence) => Vec3>> = {
  line: (mark) => mark.line,
  'four-segments': (mark) => mark.fourSegments,
  'six-segments': (mark) => mark.sixSegments,
};

/**
 * Covariance of the arch length with one tooth's width, mm²: both rest on the tooth's two contact points, so a
 * mark set too far out can lengthen both.
 */
export function perimeterWidthCovariance(
  measures: ArchMeasures,
  perimeter: PerimeterMethod,
): (tooth: Tooth) => number {
  const byTooth = new Map<Tooth, number>();
  for (const mark of measures.gradients) {
    const share = markCovariance([mark], (m) => m.width, GRADIENTS[perimeter]);
    byTooth.set(mark.tooth, (byTooth.get(mark.tooth) ?? 0) + share);
  }
  return (tooth) => byTooth.get(tooth) ?? 0;
}
