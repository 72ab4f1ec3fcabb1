import { useMemo } from 'react';
import type { Jaw, Tooth } from '../../core/base/tooth.ts';
import { useArch } from '../store.ts';
import { type RigidMove, rigidMove } from './crownMoves.ts';
import { useFoundCrowns } from './surfaceRuns.ts';
import { useCourseStage } from './useCourse.ts';

/** How each crown is moved at the stage looked at; null where everything is drawn as it was scanned. */
export function useCourseMoves(jaw: Jaw): ReadonlyMap<Tooth, RigidMove> | null {
  const { planned, stage } = useCourseStage(jaw);
  const crowns = useFoundCrowns(jaw);
  const frame = useArch(jaw)?.frame ?? null;
  return useMemo(() => {
    if (!planned || !crowns || !frame || stage === 0) return null;
    return new Map(
      planned.course.teeth.map(({ standing, poses }) => [
        standing.tooth,
        rigidMove(frame, poses[0], poses[stage]),
      ]),
    );
  }, [planned, crowns, frame, stage]);
}
