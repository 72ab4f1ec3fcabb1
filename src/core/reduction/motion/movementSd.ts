import type { Tooth } from '../../base/tooth.ts';
import type { ArchMeasures } from '../../measure/ArchMeasures.ts';

/** How sure it is where a tooth stands. */
export interface MovementSd {
  readonly alongMm: number;
  readonly outwardMm: number;
  readonly turnRad: number;
}

/**
 * SD of where a tooth stands, from the errors of its own two contact points: of the middle between them, and of their
 * direction. The errors of the line and of the other teeth's widths come on top and are not in it. Null without both
 * points.
 *
 * Units:    mm, radians.
 * Accuracy: within 5 % of points drawn with these errors — tests/core/reduction/motion/movementSd.test.ts.
 */
export function movementSd(
  { gradients, teeth }: Pick<ArchMeasures, 'gradients' | 'teeth'>,
  tooth: Tooth,
): MovementSd | null {
  const own = gradients.filter((mark) => mark.tooth === tooth);
  const mesial = own.find(({ site }) => site === 'mesial');
  const distal = own.find(({ site }) => site === 'distal');
  const measured = teeth.find((entry) => entry.tooth === tooth);
  if (!mesial || !distal || !measured?.mesialMm || !measured.distalMm) return null;
  const [m, d] = [measured.mesialMm, measured.distalMm];
  const widthMm = Math.hypot(m[0] - d[0], m[1] - d[1], m[2] - d[2]);
  const acrossMm = Math.hypot(mesial.sdAcrossMm, distal.sdAcrossMm);
  return {
    alongMm: Math.hypot(mesial.sdAlongMm, distal.sdAlongMm) / 2,
    outwardMm: acrossMm / 2,
    turnRad: acrossMm / widthMm,
  };
}
