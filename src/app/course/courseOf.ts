import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import { COURSE_DEFAULTS, type CourseSettings } from '../../core/reduction/motion/CourseSettings.ts';
import { type PlannedCourse, plannedCourse } from '../../core/reduction/motion/plannedCourse.ts';
import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';
import { activeMarks } from '../state/archEdits.ts';

export const courseSettingsOf = (record: ArchRecord): CourseSettings => record.course ?? COURSE_DEFAULTS;

const known = new WeakMap<
  ArchMeasures,
  { plan: ReductionPlan | null; settings: CourseSettings; found: PlannedCourse | null }
>();

/** The course of a record, computed once for each version of what it rests on. */
export function courseOf(
  record: ArchRecord,
  measures: ArchMeasures,
  plan: ReductionPlan | null,
): PlannedCourse | null {
  const settings = courseSettingsOf(record);
  const before = known.get(measures);
  if (before && before.plan === plan && before.settings === settings) return before.found;
  const found = plannedCourse({ measures, marks: activeMarks(record), plan, settings });
  known.set(measures, { plan, settings, found });
  return found;
}
