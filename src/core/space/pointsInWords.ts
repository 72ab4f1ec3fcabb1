import type { Tooth } from '../base/tooth.ts';
import type { ArchMeasures } from '../measure/ArchMeasures.ts';

/** What a figure of these teeth rests on: points marked, or how many of the teeth have points that are only proposed. */
export function pointsInWords(measures: Pick<ArchMeasures, 'teeth'>, teeth: readonly Tooth[]): string {
  const own = measures.teeth.filter((t) => t.source !== 'entered' && teeth.includes(t.tooth));
  const proposed = own.filter((t) => t.source === 'proposed').length;
  if (proposed === 0) return 'contact points marked on this scan';
  return proposed === own.length
    ? 'contact points proposed on this scan, not yet confirmed'
    : `contact points on this scan, not yet confirmed at ${proposed} of ${own.length} teeth`;
}
