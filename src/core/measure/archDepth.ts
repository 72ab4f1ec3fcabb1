import type { Jaw } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { Estimate, MeasureWarning } from './ArchMeasures.ts';
import { type ArchMark, type ArchMarks, toothAt } from './archMarks.ts';
import { propagate } from './propagate.ts';

/**
 * Arch depth: distance in the occlusal plane from the point half way between the central incisors' mesial
 * contact points to the line through the first molars' mesial contact points.
 *
 * Units:    mm; null when one of the four marks is missing.
 * Accuracy: exact for exact marks — tests/core/measure/acrossTheArch.test.ts.
 * Source:   common practice, no source.
 */
export function archDepth(
  jaw: Jaw,
  marks: ArchMarks,
): { readonly depth: Estimate | null; readonly warnings: readonly MeasureWarning[] } {
  const teeth = [
    toothAt(jaw, 'right', 1),
    toothAt(jaw, 'left', 1),
    toothAt(jaw, 'right', 6),
    toothAt(jaw, 'left', 6),
  ];
  const found = teeth.map((tooth) => marks.find(tooth, 'mesial'));
  const missing = teeth.filter((_, i) => !found[i]);
  if (missing.length > 0)
    return {
      depth: null,
      warnings: [
        {
          code: 'depth-missing',
          message: `Arch depth needs the mesial contact points of the central incisors and first molars; missing: ${missing.join(', ')}.`,
          teeth: missing,
        },
      ],
    };
  const value = ([a, b, right, left]: readonly Vec3[]): number => {
    const front = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const [dx, dy] = [left[0] - right[0], left[1] - right[1]];
    return Math.abs((dx * (front[1] - right[1]) - dy * (front[0] - right[0])) / Math.hypot(dx, dy));
  };
  const { valueMm, sdMm } = propagate(found as ArchMark[], value);
  return { depth: { valueMm, sdMm }, warnings: [] };
}
