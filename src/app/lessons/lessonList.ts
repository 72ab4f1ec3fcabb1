/** The lessons, in the order in which they build on each other. */
export type LessonId = 'marking' | 'line' | 'account' | 'plan';

export interface Lesson {
  readonly id: LessonId;
  readonly title: string;
  readonly about: string;
  /** True where the arch comes with its marks, as the program proposes them. */
  readonly marked: boolean;
}

export const LESSONS: readonly Lesson[] = [
  {
    id: 'marking',
    title: 'Marking contact points',
    about: 'Mark the front teeth by hand, then see tooth by tooth how far off you were, where and why.',
    marked: false,
  },
  {
    id: 'line',
    title: 'Choosing the arch line',
    about: 'Choose the form that follows the arch, and hold its length against the true one.',
    marked: true,
  },
  {
    id: 'account',
    title: 'The account, line by line',
    about: 'Judge the space by eye first; then build up the account step by step.',
    marked: true,
  },
  {
    id: 'plan',
    title: 'Planning the reduction',
    about: 'Share out the tenths yourself and lay your plan beside the exact one.',
    marked: true,
  },
];

export const lessonOf = (id: LessonId): Lesson => LESSONS.find((lesson) => lesson.id === id)!;
