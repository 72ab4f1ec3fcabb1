import { distance, type Vec3 } from '../base/Vec3.ts';
import type { ToothMeasure } from './ArchMeasures.ts';
import type { ArchMark } from './archMarks.ts';

const planeDistance = (a: Vec3, b: Vec3): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

/**
 * Mesiodistal crown width: straight distance from the mesial to the distal contact point; beside it the
 * length of its projection on the occlusal plane.
 *
 * Units:    mm in, mm out; SD first-order from the two marks' errors along the width.
 * Accuracy: exact for exact marks — tests/core/measure/toothWidth.test.ts; SD within 8 % of moving the marks by
 *           chance — tests/core/measure/uncertainty.test.ts.
 * Source:   contact-point width, common practice (Moorrees et al., J Dent Res 1957;36:39–47, from memory).
 */
export function toothWidth(mesial: ArchMark, distal: ArchMark): ToothMeasure {
  const bothConfirmed = mesial.mark.state === 'confirmed' && distal.mark.state === 'confirmed';
  const known = [mesial.mark.confidence, distal.mark.confidence].filter((c) => c !== null);
  return {
    tooth: mesial.tooth,
    widthMm: distance(mesial.inArch, distal.inArch),
    widthOcclusalMm: planeDistance(mesial.inArch, distal.inArch),
    sdMm: Math.hypot(mesial.sdAlongMm, distal.sdAlongMm),
    mesialMm: mesial.mark.pointMm,
    distalMm: distal.mark.pointMm,
    source: bothConfirmed ? 'marked' : 'proposed',
    confidence: known.length > 0 ? Math.min(...known) : null,
  };
}
