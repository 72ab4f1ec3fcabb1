import type { Tooth } from '../../core/base/tooth.ts';
import { distance } from '../../core/base/Vec3.ts';
import type { Reading } from '../../core/marks/Mark.ts';

/** Widths of a reading between its two contact points, by tooth. */
export function readingWidths({ marks }: Pick<Reading, 'marks'>): ReadonlyMap<Tooth, number> {
  const point = (tooth: Tooth, site: string) =>
    marks.find((mark) => mark.tooth === tooth && mark.site === site)?.pointMm;
  const widths = new Map<Tooth, number>();
  for (const { tooth, site, pointMm } of marks) {
    const distal = site === 'mesial' ? point(tooth, 'distal') : undefined;
    if (distal) widths.set(tooth, distance(pointMm, distal));
  }
  return widths;
}

export const readingName = ({ observer, repeat }: Pick<Reading, 'observer' | 'repeat'>): string =>
  `${observer || 'not named'}, reading ${repeat}`;
