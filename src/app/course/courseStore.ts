import { create } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';
import type { GapLevel } from '../../core/reduction/motion/contactCourse.ts';

/** Where the course of the teeth is being looked at. Never saved, never undone. */
export interface CourseState {
  /** The tab is open: only then strip and 3D arch leave the teeth as they stand. */
  readonly shown: boolean;
  /** Stage looked at; Infinity: the last, however many there are. */
  readonly stage: Readonly<Record<Jaw, number>>;
  readonly playing: boolean;
  readonly level: GapLevel;
}

export const useCourseView = create<CourseState>()(() => ({
  shown: false,
  stage: { upper: 0, lower: 0 },
  playing: false,
  level: 'surfaces',
}));

export const setCourseView = (change: Partial<CourseState>): void => useCourseView.setState(change);

/** Goes to a stage; one at the end stays at the end when a change makes the course longer or shorter. */
export const goToStage = (jaw: Jaw, stage: number, stageCount: number): void =>
  useCourseView.setState(({ stage: all }) => ({
    stage: { ...all, [jaw]: stage >= stageCount ? Number.POSITIVE_INFINITY : Math.max(0, stage) },
  }));
