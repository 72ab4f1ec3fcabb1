import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { markKey } from '../../core/marks/Mark.ts';
import { markingOrder } from '../../core/marks/markingOrder.ts';
import { activeMarks, isBlinded } from '../state/archEdits.ts';
import { actions, useArch, useStore } from '../store.ts';
import { readingWidths } from './readingWidths.ts';
import { setStudy, useStudy } from './studyStore.ts';

/** Which reading of which scan; told apart in this tab alone. */
const readingKey = ({ scan, activeReading }: ArchRecord): string => `${scan.sha256}:${activeReading}`;

export interface ReadingProgress {
  readonly placed: number;
  readonly all: number;
}

export function readingProgress(record: ArchRecord): ReadingProgress {
  const keys = new Set(activeMarks(record).map(markKey));
  const order = markingOrder(record.jaw, record.chart);
  return { placed: order.filter((step) => keys.has(markKey(step))).length, all: order.length };
}

/** True from the start of a blinded reading until it is finished: nothing then shows or says a figure. */
export function isBlindUnderWay(
  record: ArchRecord,
  { startedBlind, finishedBlind } = useStudy.getState(),
): boolean {
  if (!isBlinded(record)) return false;
  const key = readingKey(record);
  if (finishedBlind.includes(key)) return false;
  const { placed, all } = readingProgress(record);
  return startedBlind === key || placed < all;
}

/** As `isBlindUnderWay`, followed. */
export function useIsBlindUnderWay(jaw: Jaw): boolean {
  const record = useArch(jaw);
  const state = useStudy();
  return record !== null && isBlindUnderWay(record, state);
}

/** Starts a reading of the arch; a blinded one asks for the teeth by chance. */
export function startReading(jaw: Jaw, observer: string, blinded: boolean): void {
  const seed = blinded ? crypto.getRandomValues(new Uint32Array(1))[0] : undefined;
  actions().startReading(jaw, observer, seed);
  actions().setUi({ selectedSite: null, selectedTooth: null, selectedContact: null });
  const record = useStore.getState().caseDocument.arches[jaw];
  if (!record) return;
  if (blinded) {
    const key = readingKey(record);
    const { finishedBlind } = useStudy.getState();
    setStudy({ startedBlind: key, finishedBlind: finishedBlind.filter((other) => other !== key) });
  }
  const { repeat } = record.readings[record.activeReading];
  actions().announce(
    `${blinded ? 'Blinded reading' : 'Reading'} ${repeat}${observer && ` of ${observer}`} started: no marks, ${readingProgress(record).all} points to mark.`,
  );
}

/** The reading the active one is compared with first: the latest other one of its observer, else of anybody. */
export function partnerOf({ readings, activeReading }: ArchRecord): number | null {
  const others = readings.flatMap((reading, i) =>
    i !== activeReading && readingWidths(reading).size > 0 ? [i] : [],
  );
  const own = others.filter((i) => readings[i].observer === readings[activeReading].observer);
  return own.at(-1) ?? others.at(-1) ?? null;
}

/** Ends a blinded reading: its figures may be seen from now on. */
export function finishReading(jaw: Jaw): void {
  const record = useStore.getState().caseDocument.arches[jaw];
  if (!record) return;
  const partner = partnerOf(record);
  setStudy({
    startedBlind: null,
    finishedBlind: [...useStudy.getState().finishedBlind, readingKey(record)],
    ...(partner === null ? {} : { readings: [partner, record.activeReading] }),
  });
  const { placed, all } = readingProgress(record);
  actions().announce(`Reading finished: ${placed} of ${all} points marked.`);
}
