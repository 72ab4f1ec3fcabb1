import type { Contact } from '../base/tooth.ts';
import type { InstrumentClass } from '../reduction/cuttingHabit.ts';

export type CuttingInstrument = InstrumentClass | 'other';

/**
 * How the enamel taken at one contact was found. A gauge passes the opening or stops; `beforeMm` is what passed
 * before this visit's cut (0: the contact was tight).
 */
export type CutMeasured =
  | {
      readonly by: 'gauge';
      readonly passesMm: number;
      readonly stopsMm: number | null;
      readonly beforeMm: number;
    }
  | { readonly by: 'feel'; readonly amountMm: number }
  | { readonly by: 'caliper'; readonly amountMm: number }
  | { readonly by: 'not-cut' };

/** What was done at one contact in one visit. Entries are only ever added; a correction names the one it replaces. */
export interface CutEntry {
  readonly id: number; // 1, 2, … in the order entered
  readonly visit: number; // from 1
  readonly date: string; // of the visit, 2026-01-31
  readonly recordedAt: string; // ISO 8601
  readonly teeth: Contact;
  readonly plannedMm: number; // by the plan in force at that visit
  readonly how: CutMeasured;
  /** Part of the amount taken from the first tooth's surface, 0–1. */
  readonly firstShare: number;
  readonly instrument: CuttingInstrument;
  readonly note: string;
  readonly replaces: number | null;
}

/** The word for cutting where space is in excess, given by the user with its reason; it stands until a new scan. */
export interface CuttingOverride {
  readonly givenAt: string; // ISO 8601
  readonly reason: string;
  readonly followUps: number; // follow-up scans known when it was given
  readonly neededMm: number; // as the balance stood then
  readonly neededSdMm: number;
}

export const contactKey = (teeth: Contact): string => teeth.join('-');

/** Entries that count: those no later entry replaces, in the order of visits and then as entered. */
export function standingEntries(entries: readonly CutEntry[]): readonly CutEntry[] {
  const replaced = new Set(entries.map((entry) => entry.replaces));
  return entries.filter((entry) => !replaced.has(entry.id)).sort((a, b) => a.visit - b.visit || a.id - b.id);
}

/** An entry with the earlier ones it replaces, newest first. */
export function entryHistory(entries: readonly CutEntry[], entry: CutEntry): readonly CutEntry[] {
  const history = [entry];
  for (let at = entry.replaces; at !== null; ) {
    const earlier = entries.find((other) => other.id === at);
    if (!earlier || history.includes(earlier)) break;
    history.push(earlier);
    at = earlier.replaces;
  }
  return history;
}

/** The list with one entry more; the numbering follows the list. */
export const withEntry = (entries: readonly CutEntry[], entry: Omit<CutEntry, 'id'>): readonly CutEntry[] => [
  ...entries,
  { ...entry, id: Math.max(0, ...entries.map(({ id }) => id)) + 1 },
];

/** Visits that were held: the highest number anything is recorded for. */
export const visitsHeld = (entries: readonly CutEntry[]): number =>
  Math.max(0, ...standingEntries(entries).map(({ visit }) => visit));
