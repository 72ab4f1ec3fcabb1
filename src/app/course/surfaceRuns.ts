import { useEffect } from 'react';
import { create } from 'zustand';
import type { CourseAsked } from '../../../workers/contract.ts';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { PlannedCourse } from '../../core/reduction/motion/plannedCourse.ts';
import type { SurfaceCourse } from '../../core/reduction/motion/surfaceCourse.ts';
import { geometry, scanFiles, sourceOf } from '../files/scanFiles.ts';
import { type FoundArch, useProposal } from '../proposal/proposalStore.ts';
import { actions, useArch, useScanOf, useStore } from '../store.ts';

/** Gaps between surfaces: of which course, how far, and why not. */
interface Run {
  readonly of: PlannedCourse | null; // the course `found` belongs to
  readonly found: SurfaceCourse | null;
  readonly working: { readonly ratio: number; readonly cancel: () => void } | null;
  /** The course for which the work was refused or cancelled: it is not tried again by itself. */
  readonly stoppedFor: PlannedCourse | null;
  readonly refusal: Refusal | null;
}

const NOTHING: Run = { of: null, found: null, working: null, stoppedFor: null, refusal: null };

const useRuns = create<Record<Jaw, Run>>()(() => ({ upper: NOTHING, lower: NOTHING }));

const show = (jaw: Jaw, change: Partial<Run>): void =>
  useRuns.setState((all) => ({ [jaw]: { ...all[jaw], ...change } }));

interface Wanted {
  readonly planned: PlannedCourse;
  readonly asked: CourseAsked;
}

const wanted: Record<Jaw, Wanted | null> = { upper: null, lower: null };
const running: Record<Jaw, boolean> = { upper: false, lower: false };

/** A change settles before the work for it begins: a dragged mark asks for many courses a second. */
const SETTLED_MS = 250;

/** Computes what is wanted last, one at a time for each jaw; what came in meanwhile replaces what waited. */
async function work(jaw: Jaw): Promise<void> {
  if (running[jaw]) return;
  running[jaw] = true;
  try {
    for (;;) {
      const next = wanted[jaw];
      const { of, stoppedFor } = useRuns.getState()[jaw];
      if (!next || next.planned === of || next.planned === stoppedFor) break;
      try {
        const found = await compute(jaw, next.asked);
        show(jaw, { of: next.planned, found, working: null, stoppedFor: null, refusal: null });
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        const cancelled = error.code === 'cancelled';
        if (cancelled) actions().announce('Cancelled. The gaps shown are those by widths.');
        show(jaw, { working: null, stoppedFor: next.planned, refusal: cancelled ? null : error });
      }
    }
  } finally {
    running[jaw] = false;
  }
}

async function compute(jaw: Jaw, asked: CourseAsked): Promise<SurfaceCourse> {
  const worker = await geometry();
  const cancel = (): void => worker.cancel();
  const tell = (ratio: number): void => show(jaw, { working: { ratio, cancel } });
  tell(0);
  try {
    return await worker.course(asked, tell);
  } catch (error) {
    if (!(error instanceof Refusal && error.code === 'scan-not-open')) throw error;
    // The worker was started anew since: it gets the scan again from the bytes at hand.
    const file = scanFiles.get(asked.sha256);
    const unit = useStore.getState().caseDocument.arches[jaw]?.scan.unit;
    if (!file || !unit)
      throw new Refusal(
        'scan-not-open',
        'course: the scan itself is not at hand; got its name only, need its bytes. Open the file again.',
      );
    await worker.open(await sourceOf(file), file.name, { unit });
    return await worker.course(asked, tell);
  }
}

/** The crowns of a jaw as they were found, where they still go with scan and corrections; else null. */
export function useFoundCrowns(jaw: Jaw): FoundArch | null {
  const record = useArch(jaw);
  const scan = useScanOf(jaw);
  const { found } = useProposal(jaw);
  const fits =
    record && scan && found?.sha256 === scan.facts.sha256 && found.corrections === record.crownCorrections;
  return fits ? found : null;
}

/** Keeps the gaps between surfaces in step with a course while it is looked at. */
export function useSurfaceRun(jaw: Jaw, planned: PlannedCourse | null): Run {
  const crowns = useFoundCrowns(jaw);
  const frame = useArch(jaw)?.frame ?? null;
  useEffect(() => {
    if (!planned || !crowns || !frame) {
      wanted[jaw] = null;
      return;
    }
    const asked: CourseAsked = {
      sha256: crowns.sha256,
      frame,
      pairs: planned.pairs,
      faceCrown: crowns.crowns.faceCrown,
      crownTeeth: crowns.crowns.crowns.map(({ tooth }) => tooth),
    };
    wanted[jaw] = { planned, asked };
    const settled = setTimeout(() => void work(jaw), SETTLED_MS);
    return () => clearTimeout(settled);
  }, [jaw, planned, crowns, frame]);
  return useRuns((all) => all[jaw]);
}

/** Tries again what was cancelled or refused. */
export function computeSurfaces(jaw: Jaw): void {
  show(jaw, { stoppedFor: null, refusal: null });
  void work(jaw);
}
