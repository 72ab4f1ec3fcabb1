import type { ScanFacts, ScanFinding, ScanMesh, ScanShape } from '../core/scan/ScanMesh.ts';
import type { SurfaceIndex } from '../core/scan/surfaceIndex.ts';

/** A scan as it lives on the page beside the case: never part of the document, found by its SHA-256. */
export interface LoadedScanOnPage {
  readonly facts: ScanFacts;
  readonly shape: ScanShape;
  readonly findings: readonly ScanFinding[];
  /** Full resolution, for picking and measuring. */
  readonly mesh: ScanMesh;
  /** Picking and snapping on the full mesh. */
  readonly index: SurfaceIndex;
  /** Lighter surface for drawing; the full mesh where it is small enough. */
  readonly display: ScanMesh;
}
