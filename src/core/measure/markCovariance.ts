import { dot, type Vec3 } from '../base/Vec3.ts';
import type { MarkInfluence } from './ArchMeasures.ts';

/**
 * Covariance of two results that rest on the same marks, from their gradients by each mark; with `a` and `b`
 * alike, the variance. E.g. width sum against arch line:
 * `markCovariance(measures.gradients, (m) => summed.has(m.tooth) ? m.width : ZERO, (m) => m.line)`.
 *
 * Units:    mm² for gradients in mm per mm.
 * Accuracy: within 8 % of both SDs multiplied, against moving the marks by chance —
 *           tests/core/measure/uncertainty.test.ts.
 */
export function markCovariance(
  marks: readonly MarkInfluence[],
  a: (mark: MarkInfluence) => Vec3,
  b: (mark: MarkInfluence) => Vec3,
): number {
  return marks.reduce((sum, mark) => {
    const [ga, gb] = [a(mark), b(mark)];
    const across = mark.sdAcrossMm ** 2;
    const along = mark.mesiodistal
      ? (mark.sdAlongMm ** 2 - across) * dot(ga, mark.mesiodistal) * dot(gb, mark.mesiodistal)
      : 0;
    return sum + across * dot(ga, gb) + along;
  }, 0);
}
