/** The lessons, in the order in which they build on each other. */
export type LessonId = 'marking' | 'line' | 'account' | 'plan' | 'follow-up';

export interface Lesson {
  readonly id: LessonId;
  readonly title: string;
  readonly about: string;
  /** True where the arch comes with its marks, as the program proposes them. */
  readonly marked: boolean;
  /** Held on this sample whichever arch is chosen; null: on the arch chosen. */
  readonly only: string | null;
}

export const LESSONS: readonly Lesson[] = [
  {
    id: 'marking',
    title: 'Marking contact points',
    about: 'Mark the front teeth by hand, then see tooth by tooth how far off you were, where and why.',
    marked: false,
    only: null,
  },
  {
    id: 'line',
    title: 'Choosing the arch line',
    about: 'Choose the form that follows the arch, and hold its length against the true one.',
    marked: true,
    only: null,
  },
  {
    id: 'account',
    title: 'The account, line by line',
    about: 'Judge the space by eye first; then build up the account step by step.',
    marked: true,
    only: null,
  },
  {
    id: 'plan',
    title: 'Planning the reduction',
    about: 'Share out the tenths yourself and lay your plan beside the exact one.',
    marked: true,
    only: null,
  },
  {
    id: 'follow-up',
    title: 'Reading a follow-up scan',
    about: 'A later scan of the crowded arch: where is space open, how much, what comes next?',
    marked: true,
    only: 'lower-crowded',
  },
];

export const lessonOf = (id: LessonId): Lesson => LESSONS.find((lesson) => lesson.id === id)!;
