import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { proposedCount } from '../state/archEdits.ts';

/** How many of the marks behind a figure nobody has looked at yet. */
export function OnlyProposed({ record }: { record: ArchRecord }) {
  const proposed = proposedCount(record);
  if (proposed === 0) return null;
  return (
    <p className="dock__say dock__say_strong">
      {proposed === 1
        ? '1 mark behind this figure is only proposed: look at it before relying on it.'
        : `${proposed} marks behind this figure are only proposed: look at each before relying on it.`}
    </p>
  );
}
