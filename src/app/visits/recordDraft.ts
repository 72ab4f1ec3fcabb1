import type { Contact } from '../../core/base/tooth.ts';
import {
  type CutEntry,
  type CutMeasured,
  type CuttingInstrument,
  contactKey,
} from '../../core/visits/CutEntry.ts';
import { GAUGE_STEP_MM } from '../../core/visits/cutEstimate.ts';

/** What is being typed of one contact; nothing of it counts before it is saved. */
export interface RowDraft {
  readonly amountMm: number | null; // gauge that passes, or amount; null: not touched
  readonly stops: boolean; // the next gauge stops
  readonly beforeMm: number; // gauge that passed before the cut
  readonly firstPercent: number; // part taken from the first tooth's surface
  readonly notCut: boolean;
  readonly note: string;
}

export const EMPTY_ROW: RowDraft = {
  amountMm: null,
  stops: false,
  beforeMm: 0,
  firstPercent: 50,
  notCut: false,
  note: '',
};

export type RecordWay = 'gauge' | 'feel' | 'caliper';

export interface VisitDraft {
  readonly visit: number;
  readonly date: string;
  readonly way: RecordWay;
  readonly instrument: CuttingInstrument;
  readonly rows: Readonly<Record<string, RowDraft>>; // by contact key
}

const tidy = (mm: number): number => Math.round(mm * 1000) / 1000;

export function measuredOf(row: RowDraft, way: RecordWay): CutMeasured | null {
  if (row.notCut) return { by: 'not-cut' };
  if (row.amountMm === null) return null;
  const amountMm = tidy(row.amountMm);
  if (way !== 'gauge') return { by: way, amountMm };
  return {
    by: 'gauge',
    passesMm: amountMm,
    stopsMm: row.stops ? tidy(amountMm + GAUGE_STEP_MM) : null,
    beforeMm: tidy(row.beforeMm),
  };
}

/** The entries a draft makes: one for each contact that was touched, naming the entry it corrects where there is one. */
export function entriesOf(
  draft: VisitDraft,
  contacts: readonly Contact[],
  due: ReadonlyMap<string, number>,
  standing: readonly CutEntry[],
  recordedAt: string,
): readonly Omit<CutEntry, 'id'>[] {
  return contacts.flatMap((teeth): Omit<CutEntry, 'id'>[] => {
    const row = draft.rows[contactKey(teeth)];
    const how = row ? measuredOf(row, draft.way) : null;
    if (!row || !how) return [];
    const earlier = standing.find(
      (entry) => entry.visit === draft.visit && contactKey(entry.teeth) === contactKey(teeth),
    );
    return [
      {
        visit: draft.visit,
        date: draft.date,
        recordedAt,
        teeth,
        plannedMm: earlier?.plannedMm ?? tidy(due.get(contactKey(teeth)) ?? 0),
        how,
        firstShare: row.firstPercent / 100,
        instrument: draft.instrument,
        note: row.note.trim(),
        replaces: earlier?.id ?? null,
      },
    ];
  });
}
