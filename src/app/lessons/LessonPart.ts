import type { Jaw } from '../../core/base/tooth.ts';
import type { RunningLesson } from './lessonStore.ts';

/** What one lesson's part gets: where it is held, and the way to have its result noted. */
export interface LessonPart {
  readonly jaw: Jaw;
  readonly lesson: RunningLesson;
  /** Runs the scoring; refusals are shown. `points` of what it returns are noted. */
  readonly score: (run: () => Promise<number>) => void;
  readonly scoring: boolean;
}
