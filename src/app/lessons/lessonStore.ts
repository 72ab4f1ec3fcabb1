import { z } from 'zod';
import { create } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';
import { remark } from '../files/fileStore.ts';
import { keepAside, remember, remembered } from '../storage/pageMemory.ts';
import { LESSONS, type LessonId } from './lessonList.ts';

/** Which generated arch a lesson is held on. */
export type LessonArch =
  | { readonly kind: 'sample'; readonly name: string; readonly jaw: Jaw }
  | { readonly kind: 'code'; readonly code: string; readonly jaw: Jaw };

/** The lesson under way; of this tab alone, never part of a case. */
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

/** Progress of earlier visits to the page; what cannot be read counts as none, and is put aside. */
function keptProgress(): LessonState['progress'] {
  const text = remembered(KEY);
  if (text === null) return {};
  try {
    return keptSchema.parse(JSON.parse(text)).progress;
  } catch {
    keepAside(KEY);
    remark('What this browser kept of your lessons cannot be read. It is put aside; scores begin anew.');
    return {};
  }
}

const TAB_KEY = 'archledger.lesson';

const tabSchema = z.object({
  running: z
    .object({
      id: z.enum(LESSONS.map(({ id }) => id) as [LessonId, ...LessonId[]]),
      arch: z.discriminatedUnion('kind', [
        z.object({ kind: z.literal('sample'), name: z.string(), jaw: z.enum(['upper', 'lower']) }),
        z.object({ kind: z.literal('code'), code: z.string(), jaw: z.enum(['upper', 'lower']) }),
      ]),
      sha256: z.string(),
    })
    .nullable(),
  projector: z.boolean(),
});

/** The lesson of this tab before a reload; none where it cannot be read. */
function keptInTab(): z.infer<typeof tabSchema> {
  try {
    return tabSchema.parse(JSON.parse(sessionStorage.getItem(TAB_KEY) ?? 'null'));
  } catch {
    return { running: null, projector: false };
  }
}

export const useLessons = create<LessonState>()(() => ({
  ...keptInTab(),
  isScored: false,
  progress: keptProgress(),
}));

const showProjector = (): void => {
  // Tests of the scoring have no page.
  if (typeof document !== 'undefined')
    document.documentElement.toggleAttribute('data-projector', useLessons.getState().projector);
};
showProjector();
useLessons.subscribe(({ running, projector }) => {
  try {
    sessionStorage.setItem(TAB_KEY, JSON.stringify({ running, projector }));
  } catch {
    // a browser that keeps nothing for the tab: the lesson ends with the page
  }
});

const set = useLessons.setState;

export const startLesson = (running: RunningLesson): void => set({ running, isScored: false });
export const leaveLesson = (): void => set({ running: null, isScored: false });

/** Larger type for the back row. */
export function setProjector(projector: boolean): void {
  set({ projector });
  showProjector();
}

/** Notes a result; the best one stays. Kept in this browser only. */
export function noteResult(id: LessonId, points: number): void {
  const before = useLessons.getState().progress[id];
  const now = { best: Math.max(before?.best ?? 0, points), tries: (before?.tries ?? 0) + 1 };
  const progress = { ...useLessons.getState().progress, [id]: now };
  set({ progress });
  remember(KEY, JSON.stringify({ progress })); // a full storage keeps no progress; the lesson itself goes on
}

export function forgetProgress(): void {
  remember(KEY, null);
  set({ progress: {} });
}
