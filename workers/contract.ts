import type { ArchFrame } from '../src/core/arch/ArchFrame.ts';
import type { ArchFrameProposal } from '../src/core/arch/findArchFrame.ts';
import type { Outcome } from '../src/core/base/refusal.ts';
import type { Jaw, Tooth } from '../src/core/base/tooth.ts';
import type { ComparisonProgress, ScanComparison } from '../src/core/compare/compareScans.ts';
import type { CrownCorrections } from '../src/core/crowns/crownCorrections.ts';
import type { TeethSaid } from '../src/core/crowns/findCrowns.ts';
import type { MarkProposal, ProposalProgress } from '../src/core/marks/proposeMarks.ts';
import type { FoundCrowns, SurfaceCourse, SurfacePair } from '../src/core/reduction/motion/surfaceCourse.ts';
import type { BothArches, BothPlans } from '../src/core/reduction/planBothArches.ts';
import type { PlanOptions } from '../src/core/reduction/planReduction.ts';
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

/** What a proposal is made from: a scan this worker has opened, by the SHA-256 of its file, and what was said of it. */
export interface ProposalAsked {
  readonly sha256: string;
  readonly frame: ArchFrame;
  readonly jaw: Jaw;
  readonly said: TeethSaid;
  /** What the user says of the crowns. Default: nothing. */
  readonly corrections?: CrownCorrections;
  /** Marks of these teeth only. Default: all. */
  readonly only?: readonly Tooth[];
}

/** Crowns and marks of an arch, proposed; `crowns.faceCrown` changes hands. */
export type ProposedArch = MarkProposal;

/** One of two scans to be compared: opened by this worker, with what was said of it. */
export interface ScanToCompare {
  readonly sha256: string;
  readonly frame: ArchFrame;
  readonly said: TeethSaid;
  /** What the user says of the crowns. Default: nothing. */
  readonly corrections?: CrownCorrections;
}

/** Two scans of one arch. */
export interface ComparisonAsked {
  readonly jaw: Jaw;
  readonly earlier: ScanToCompare;
  readonly later: ScanToCompare;
}

/** Crowns to be moved over stages: on a scan this worker has opened, as they were found there. */
export interface CourseAsked extends FoundCrowns {
  readonly sha256: string;
  readonly frame: ArchFrame;
  readonly pairs: readonly SurfacePair[];
}

/** What the geometry worker does. Refusals come back as values; anything thrown is a bug. */
export interface GeometryWork {
  open(
    source: ScanSource,
    fileName: string,
    unit: LengthUnit,
    onProgress: ((progress: OpenProgress) => void) | null,
  ): Promise<Outcome<OpenedArch>>;
  /** Refuses 'scan-not-open' where the scan is not among the last it opened. */
  propose(
    asked: ProposalAsked,
    onProgress: ((progress: ProposalProgress) => void) | null,
  ): Promise<Outcome<ProposedArch>>;
  /** Refuses 'scan-not-open' where one of the two is not among the last it opened. Deviations change hands. */
  compare(
    asked: ComparisonAsked,
    onProgress: ((progress: ComparisonProgress) => void) | null,
  ): Promise<Outcome<ScanComparison>>;
  /** Refuses 'scan-not-open' as above, and as surfaceCourse. */
  course(
    asked: CourseAsked,
    onProgress: ((doneRatio: number) => void) | null,
  ): Promise<Outcome<SurfaceCourse>>;
}

/** What the planner worker does. */
export interface PlannerWork {
  plan(request: ReductionRequest, options?: PlanOptions): Promise<Outcome<ReductionPlan>>;
  /** Loads the mixed-integer solver with its first call. */
  planBoth(asked: BothArches): Promise<Outcome<BothPlans>>;
}
