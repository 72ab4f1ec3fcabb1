import { create } from 'zustand';
import type { Tooth } from '../../core/base/tooth.ts';
import { STUDY_CONVENTIONS, type StudyConventions } from '../../core/study/Conventions.ts';

export type StudySource = 'table' | 'caliper' | 'readings';

export const UNIT_SCALES = { mm: 1, cm: 10, um: 0.001, in: 25.4, other: 1 } as const;
export type TableUnit = keyof typeof UNIT_SCALES;

/** What the study bench holds; it lasts as long as the page, and nothing of it is in the case. */
export interface StudyState {
  readonly open: boolean;
  readonly source: StudySource;
  readonly table: {
    readonly fileName: string;
    readonly text: string | null; // null: none chosen
    readonly delimiter: string | null; // null: told from the text
    readonly decimal: '.' | ',' | null;
    readonly first: string;
    readonly second: string;
    readonly by: string; // empty: no groups
    readonly unit: TableUnit;
  };
  readonly caliper: Readonly<Record<Tooth, string>>; // as typed
  readonly readings: readonly [number, number];
  readonly conventions: StudyConventions;
  readonly acceptance: number | null;
  readonly wantedHalfWidth: number | null;
}

const FIRST: StudyState = {
  open: false,
  source: 'table',
  table: {
    fileName: '',
    text: null,
    delimiter: null,
    decimal: null,
    first: '',
    second: '',
    by: '',
    unit: 'mm',
  },
  caliper: {},
  readings: [0, 1],
  conventions: STUDY_CONVENTIONS,
  acceptance: 0.2,
  wantedHalfWidth: 0.05,
};

export const useStudy = create<StudyState>()(() => FIRST);

export const setStudy = (change: Partial<StudyState>): void => useStudy.setState(change);
export const setTable = (change: Partial<StudyState['table']>): void =>
  useStudy.setState(({ table }) => ({ table: { ...table, ...change } }));
