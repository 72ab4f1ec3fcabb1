import { useMemo } from 'react';
import type { Jaw } from '../../core/base/tooth.ts';
import type { Vec2 } from '../../core/base/Vec3.ts';
import type { ContactCourse } from '../../core/reduction/motion/contactCourse.ts';
import type { PlannedCourse } from '../../core/reduction/motion/plannedCourse.ts';
import { posedContactPoints } from '../../core/reduction/motion/StandingTooth.ts';
import { sameContact } from '../state/archEdits.ts';
import type { StripLayout } from '../strip/stripLayout.ts';
import type { Unrolled } from '../strip/unroll.ts';
import { useCourseStage } from './useCourse.ts';

/**
 * The strip with its teeth as they stand at a stage, the planned enamel off; the row of blocks and the extent of the
 * drawing stay.
 */
export function stripAtStage(
  layout: StripLayout,
  { track, course }: PlannedCourse,
  contacts: readonly ContactCourse[],
  stage: number,
): StripLayout {
  if (stage === 0) return layout;
  const place = (point: Vec2): Unrolled => track.place(point);
  const ends = new Map(
    course.teeth.map(({ standing, poses }) => {
      const [right, left] = posedContactPoints(standing, poses[stage], true);
      return [standing.tooth, { right: place(right), left: place(left) }];
    }),
  );
  return {
    ...layout,
    blocks: layout.blocks.map((block) => ({ ...block, stands: ends.get(block.tooth) ?? block.stands })),
    contacts: layout.contacts.map((contact) => {
      const [a, b] = [ends.get(contact.teeth[0]), ends.get(contact.teeth[1])];
      const at = contacts.find(({ teeth }) => sameContact(teeth, contact.teeth))?.stages[stage];
      if (!a || !b) return contact;
      return {
        ...contact,
        points: contact.points && [a.left, b.right],
        separationMm: at ? at.alongMm : contact.separationMm,
        displacementMm: at ? Math.hypot(at.alongMm, at.acrossMm) : contact.displacementMm,
      };
    }),
  };
}

/** The strip at the stage looked at, and that stage in words; null where the teeth stand as they were scanned. */
export function useStripAtStage(
  jaw: Jaw,
  standing: StripLayout,
): { readonly layout: StripLayout; readonly atStage: string | null } {
  const { planned, stage } = useCourseStage(jaw);
  const layout = useMemo(
    () => (planned ? stripAtStage(standing, planned, planned.contacts, stage) : standing),
    [planned, standing, stage],
  );
  return { layout, atStage: stage > 0 ? `at stage ${stage}` : null };
}
