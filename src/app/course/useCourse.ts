import type { Jaw } from '../../core/base/tooth.ts';
import type { PlannedCourse } from '../../core/reduction/motion/plannedCourse.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { useArch } from '../store.ts';
import { courseOf } from './courseOf.ts';
import { useCourseView } from './courseStore.ts';

/** The course of a jaw by widths; null while the tab is closed, or where there is no arch line. */
export function useCourse(jaw: Jaw): PlannedCourse | null {
  const shown = useCourseView((state) => state.shown);
  const record = useArch(jaw);
  const measures = useArchAccount(jaw)?.measures ?? null;
  const plan = usePlannedAmounts(jaw)?.plan ?? null;
  return shown && record && measures ? courseOf(record, measures, plan) : null;
}

/** The stage being looked at; 0 while the tab is closed. */
export function useCourseStage(jaw: Jaw): { readonly planned: PlannedCourse | null; readonly stage: number } {
  const planned = useCourse(jaw);
  const stage = useCourseView((state) => state.stage[jaw]);
  return { planned, stage: planned ? Math.min(stage, planned.course.stageCount) : 0 };
}
