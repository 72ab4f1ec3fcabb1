import type { ArchFrame } from '../arch/ArchFrame.ts';
import type { PlacedMark } from '../marks/Mark.ts';
import type { ScanFacts } from '../scan/ScanMesh.ts';
import type { FollowUpMeasure } from './FollowUp.ts';

/** A later scan of an arch as a case keeps it: evidence measured once, and what is needed to measure it again. */
export interface FollowUpRecord {
  readonly scan: ScanFacts;
  readonly date: string; // of the scan, 2026-01-31
  readonly afterVisit: number; // visits held before it was taken
  readonly medianEdgeMm: number;
  readonly frame: ArchFrame; // of the later scan
  /** The last comparison with the first scan; null until it was compared. */
  readonly measure: FollowUpMeasure | null;
  /** Marks on the later scan, for its own space account; empty until proposed. */
  readonly marks: readonly PlacedMark[];
}
