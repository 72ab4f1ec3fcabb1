import { z } from 'zod';
import { create } from 'zustand';
import {
  CONVENTION_CHOICES,
  STUDY_CONVENTIONS,
  type StudyConventions,
} from '../../core/study/Conventions.ts';

export type StudySource = 'table' | 'caliper' | 'readings';

export const UNIT_SCALES = { mm: 1, cm: 10, um: 0.001, in: 25.4, other: 1 } as const;
export type TableUnit = keyof typeof UNIT_SCALES;

/** In place of a grouping column: the kind of tooth, told from the column of tooth numbers. */
export const BY_KIND = ' kind';

/** What the study bench holds; caliper widths and readings are the case's. */
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
    readonly tooth: string; // empty: no column of tooth numbers
    readonly by: string; // empty: no groups
    readonly sdFirst: string; // columns with each value's own SD; empty: none
    readonly sdSecond: string;
    readonly leftOut: readonly string[]; // of the comparison of all columns
    readonly unit: TableUnit;
  };
  /** While caliper widths are typed: the scan's widths and the comparison are out of sight. */
  readonly unseen: boolean;
  readonly readings: readonly [number, number];
  readonly readingsLeftOut: readonly number[]; // of the comparison of all readings
  /** The blinded reading begun last and not finished, and those finished; by scan and number. */
  readonly startedBlind: string | null;
  readonly finishedBlind: readonly string[];
  readonly conventions: StudyConventions;
  readonly acceptance: number | null;
  readonly wantedHalfWidth: number | null;
}

export const FIRST_TABLE: StudyState['table'] = {
  fileName: '',
  text: null,
  delimiter: null,
  decimal: null,
  first: '',
  second: '',
  tooth: '',
  by: '',
  sdFirst: '',
  sdSecond: '',
  leftOut: [],
  unit: 'mm',
};

const FIRST: StudyState = {
  open: false,
  source: 'table',
  table: FIRST_TABLE,
  unseen: true,
  readings: [0, 1],
  readingsLeftOut: [],
  startedBlind: null,
  finishedBlind: [],
  conventions: STUDY_CONVENTIONS,
  acceptance: 0.2,
  wantedHalfWidth: 0.05,
};

const KEY = 'archledger.study';
/** A longer table is not kept over a reload: the browser gives a page some megabytes. */
const KEPT_TABLE_MAX = 1_000_000;

const conventionsSchema = z.custom<StudyConventions>(
  (value) =>
    typeof value === 'object' &&
    value !== null &&
    CONVENTION_CHOICES.every(({ id, options }) =>
      options.some((option) => option.id === (value as StudyConventions)[id]),
    ),
);
const index = z.int().min(0);
const keptSchema = z.object({
  source: z.enum(['table', 'caliper', 'readings']),
  table: z.object({
    fileName: z.string(),
    text: z.string().nullable(),
    delimiter: z.string().length(1).nullable(),
    decimal: z.enum(['.', ',']).nullable(),
    first: z.string(),
    second: z.string(),
    tooth: z.string(),
    by: z.string(),
    sdFirst: z.string(),
    sdSecond: z.string(),
    leftOut: z.array(z.string()),
    unit: z.enum(['mm', 'cm', 'um', 'in', 'other']),
  }),
  unseen: z.boolean(),
  readings: z.tuple([index, index]),
  readingsLeftOut: z.array(index),
  startedBlind: z.string().nullable(),
  finishedBlind: z.array(z.string()),
  conventions: conventionsSchema,
  acceptance: z.number().min(0).nullable(),
  wantedHalfWidth: z.number().min(0).nullable(),
});

/** What was kept for this tab before a reload; what cannot be read counts as nothing. */
function keptState(): StudyState {
  try {
    const kept = keptSchema.safeParse(JSON.parse(sessionStorage.getItem(KEY) ?? '{}'));
    return kept.success ? { ...FIRST, ...kept.data } : FIRST;
  } catch {
    return FIRST;
  }
}

export const useStudy = create<StudyState>()(keptState);

/** True where the table is too long to outlast a reload. */
export const isTableKept = ({ text }: StudyState['table']): boolean => (text?.length ?? 0) <= KEPT_TABLE_MAX;

let waiting: ReturnType<typeof setTimeout> | undefined;

function keep(): void {
  clearTimeout(waiting);
  const { open: _, table, ...rest } = useStudy.getState();
  try {
    sessionStorage.setItem(KEY, JSON.stringify({ ...rest, table: isTableKept(table) ? table : FIRST_TABLE }));
  } catch {
    // a browser that keeps nothing for the tab: the study lasts until the reload
  }
}

useStudy.subscribe(() => {
  clearTimeout(waiting);
  waiting = setTimeout(keep, 300);
});
// A reload within that moment would show the figures of a blinded reading before it is finished.
globalThis.addEventListener?.('pagehide', keep);

export const setStudy = (change: Partial<StudyState>): void => useStudy.setState(change);
export const setTable = (change: Partial<StudyState['table']>): void =>
  useStudy.setState(({ table }) => ({ table: { ...table, ...change } }));
