import type { ArchFrameProposal } from '../src/core/arch/findArchFrame.ts';
import type { Outcome } from '../src/core/base/refusal.ts';
import type { ReductionPlan, ReductionRequest } from '../src/core/reduction/ReductionPlan.ts';
import type { DisplayMesh } from '../src/core/scan/displayMesh.ts';
import type { OpenedScan, OpenStage } from '../src/core/scan/openScan.ts';
import type { LengthUnit } from '../src/core/scan/ScanMesh.ts';

/** Where a scan's bytes come from: a file of the user, read in the worker, or bytes, consumed by the call. */
export type ScanSource = File | ArrayBuffer;

/** A scan as the page gets it: opened, with a mesh to draw and a proposal for its arch frame. */
export interface OpenedArch extends OpenedScan {
  /** Simplified mesh for drawing; null where the mesh itself is small enough. */
  readonly display: DisplayMesh | null;
  /** The proposed arch frame; a refusal ('not-an-arch') leaves the scan usable, the frame is then set by hand. */
  readonly frame: Outcome<ArchFrameProposal>;
}

export type OpenArchStage = OpenStage | 'file' | 'frame' | 'display';

/** How far opening has come; `doneRatio` of the whole grows from 0 to 1. */
export interface OpenProgress {
  readonly stage: OpenArchStage;
  readonly doneRatio: number;
}

/** What the geometry worker does. Refusals come back as values; anything thrown is a bug. */
export interface GeometryWork {
  open(
    source: ScanSource,
    fileName: string,
    unit: LengthUnit,
    onProgress: ((progress: OpenProgress) => void) | null,
  ): Promise<Outcome<OpenedArch>>;
}

/** What the planner worker does. */
export interface PlannerWork {
  plan(request: ReductionRequest): Promise<Outcome<ReductionPlan>>;
}
