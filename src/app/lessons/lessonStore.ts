import { z } from 'zod';
import { create } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';
import { LESSONS, type LessonId } from './lessonList.ts';

/** Which generated arch a lesson is held on. */
export type LessonArch =
  | { readonly kind: 'sample'; readonly name: string; readonly jaw: Jaw }
  | { readonly kind: 'code'; readonly code: string; readonly jaw: Jaw };

/** The lesson under way; only on this page, never part of a case. */
export interface RunningLesson {
  readonly id: LessonId;
  readonly arch: LessonArch;
  readonly sha256: string; // of its scan
}

export interface LessonProgress {
  readonly best: number; // points, 0–100
  readonly tries: number;
}

interface LessonState {
  readonly running: RunningLesson | null;
  readonly isScored: boolean; // the result is on show
  readonly progress: Readonly<Partial<Record<LessonId, LessonProgress>>>;
  readonly projector: boolean;
}

const KEY = 'archledger.lessons';

const keptSchema = z.object({
  progress: z.partialRecord(
    z.enum(LESSONS.map(({ id }) => id) as [LessonId, ...LessonId[]]),
    z.object({ best: z.number().min(0).max(100), tries: z.int().min(1) }),
  ),
});

/** Progress of earlier visits to the page; what cannot be read counts as none. */
function keptProgress(): LessonState['progress'] {
  try {
    const kept = keptSchema.safeParse(JSON.parse(localStorage.getItem(KEY) ?? '{}'));
    return kept.success ? kept.data.progress : {};
  } catch {
    return {};
  }
}

export const useLessons = create<LessonState>()(() => ({
  running: null,
  isScored: false,
  progress: keptProgress(),
  projector: false,
}));

const set = useLessons.setState;

export const startLesson = (running: RunningLesson): void => set({ running, isScored: false });
export const leaveLesson = (): void => set({ running: null, isScored: false });
export const showScore = (isScored: boolean): void => set({ isScored });

/** Larger type for the back row. */
export function setProjector(projector: boolean): void {
  set({ projector });
  document.documentElement.toggleAttribute('data-projector', projector);
}

/** Notes a result; the best one stays. Kept in this browser only. */
export function noteResult(id: LessonId, points: number): void {
  const before = useLessons.getState().progress[id];
  const now = { best: Math.max(before?.best ?? 0, points), tries: (before?.tries ?? 0) + 1 };
  const progress = { ...useLessons.getState().progress, [id]: now };
  set({ progress });
  try {
    localStorage.setItem(KEY, JSON.stringify({ progress }));
  } catch {
    // a full storage keeps no progress; the lesson itself goes on
  }
}

export function forgetProgress(): void {
  localStorage.removeItem(KEY);
  set({ progress: {} });
}
