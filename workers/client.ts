import { transfer } from 'comlink';
import type { ComparisonProgress, ScanComparison } from '../src/core/compare/compareScans.ts';
import type { ProposalProgress } from '../src/core/marks/proposeMarks.ts';
import type { SurfaceCourse } from '../src/core/reduction/motion/surfaceCourse.ts';
import type { BothArches, BothPlans } from '../src/core/reduction/planBothArches.ts';
import type { PlanOptions } from '../src/core/reduction/planReduction.ts';
import type { ReductionPlan, ReductionRequest } from '../src/core/reduction/ReductionPlan.ts';
import type { LengthUnit } from '../src/core/scan/ScanMesh.ts';
import type {
  ComparisonAsked,
  CourseAsked,
  GeometryWork,
  OpenedArch,
  OpenProgress,
  PlannerWork,
  ProposalAsked,
  ProposedArch,
  ScanSource,
} from './contract.ts';
import { WorkerClient } from './WorkerClient.ts';
import { type Spawn, spawnedWorker } from './WorkerLink.ts';

export interface OpenArchOptions {
  /** The unit the file is in. Default: mm. */
  readonly unit?: LengthUnit;
  readonly onProgress?: (progress: OpenProgress) => void;
}

/** Opens scans in the geometry worker and proposes marks on them. */
export class GeometryClient extends WorkerClient<GeometryWork> {
  constructor(spawn: Spawn = spawnGeometryWorker, silenceMs?: number) {
    super(spawn, silenceMs);
  }

  /**
   * Opens a scan and proposes its arch frame. A File is read in the worker; an ArrayBuffer is consumed.
   *
   * Refuses:  the scan-file codes, 'unit-implausible', 'storage-failed', 'cancelled', 'worker-died'.
   */
  open(
    source: ScanSource,
    fileName: string,
    { unit = 'mm', onProgress }: OpenArchOptions = {},
  ): Promise<OpenedArch> {
    const sent = source instanceof ArrayBuffer ? transfer(source, [source]) : source;
    return this.reporting(onProgress, (remote, report) => remote.open(sent, fileName, unit, report));
  }

  /**
   * Proposes crowns and marks on a scan this worker has opened.
   *
   * Refuses:  'scan-not-open' where the worker does not hold the scan (any more): open it again; 'not-an-arch';
   *           'cancelled', 'worker-died'.
   */
  propose(asked: ProposalAsked, onProgress?: (progress: ProposalProgress) => void): Promise<ProposedArch> {
    return this.reporting(onProgress, (remote, report) => remote.propose(asked, report));
  }

  /**
   * Compares two scans of one arch that this worker has opened.
   *
   * Refuses:  'scan-not-open' where the worker does not hold one of them (any more): open it again; as compareScans;
   *           'cancelled', 'worker-died'.
   */
  compare(
    asked: ComparisonAsked,
    onProgress?: (progress: ComparisonProgress) => void,
  ): Promise<ScanComparison> {
    return this.reporting(onProgress, (remote, report) => remote.compare(asked, report));
  }

  /**
   * Collisions between the crowns of a scan this worker has opened, moved over stages.
   *
   * Refuses:  'scan-not-open' where the worker does not hold the scan (any more): open it again; as surfaceCourse;
   *           'cancelled', 'worker-died'.
   */
  course(asked: CourseAsked, onProgress?: (doneRatio: number) => void): Promise<SurfaceCourse> {
    return this.reporting(onProgress, (remote, report) => remote.course(asked, report));
  }
}

/** Plans reductions in the planner worker. */
export class PlannerClient extends WorkerClient<PlannerWork> {
  constructor(spawn: Spawn = spawnPlannerWorker, silenceMs?: number) {
    super(spawn, silenceMs);
  }

  /** The plan of a request. Refuses: as planReduction; 'cancelled', 'worker-died'. */
  plan(request: ReductionRequest, options: PlanOptions = {}): Promise<ReductionPlan> {
    return this.link.call<ReductionPlan>((remote) => remote.plan(request, options));
  }

  /** The plans of both arches weighed against their ratios. Refuses: as planBothArches; 'cancelled', 'worker-died'. */
  planBoth(asked: BothArches): Promise<BothPlans> {
    return this.link.call<BothPlans>((remote) => remote.planBoth(asked));
  }
}

// The builder finds workers by this exact form.
const spawnGeometryWorker: Spawn = () =>
  spawnedWorker(
    new Worker(new URL('./geometry.worker.ts', import.meta.url), { type: 'module', name: 'geometry' }),
  );

const spawnPlannerWorker: Spawn = () =>
  spawnedWorker(
    new Worker(new URL('./planner.worker.ts', import.meta.url), { type: 'module', name: 'planner' }),
  );
