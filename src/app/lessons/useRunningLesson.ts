import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { useStore } from '../store.ts';
import { type RunningLesson, useLessons } from './lessonStore.ts';

/** The lesson under way on the arch in view; null while another arch is open. */
export function useRunningLesson(jaw: Jaw): RunningLesson | null {
  const running = useLessons((state) => state.running);
  const sha256 = useStore((state) => state.caseDocument.arches[jaw]?.scan.sha256);
  return running && running.arch.jaw === jaw && running.sha256 === sha256 ? running : null;
}

/** True while the lesson on marking is held on this arch. */
export const isMarkingLesson = (
  { jaw, scan }: Pick<ArchRecord, 'jaw' | 'scan'>,
  { running } = useLessons.getState(),
): boolean => running?.id === 'marking' && running.arch.jaw === jaw && running.sha256 === scan.sha256;
