import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { PlacedMark } from '../../core/marks/Mark.ts';
import {
  type ContactMarks,
  contactMarks,
  markedContacts,
  type SurfaceSeparation,
  surfaceSeparationMm,
} from '../../core/marks/surfaceSeparations.ts';
import type { SurfaceIndex } from '../../core/scan/surfaceIndex.ts';
import { useStore } from '../store.ts';

/** A moved mark touches the contacts on both sides of its tooth: so many are measured at once, more between frames. */
const AT_ONCE = 2;
const SLICE_MS = 8;
const FIRST_WAIT_MS = 50;
const MOST_KEPT = 3000;
const NONE: readonly SurfaceSeparation[] = [];
const JAWS: readonly Jaw[] = ['upper', 'lower'];

type Measured = Omit<SurfaceSeparation, 'teeth'> | null;

/** By scan, then by the places of the four marks: a mark that is moved back needs no measuring. */
const measured = new WeakMap<SurfaceIndex, Map<string, Measured>>();

interface Answer {
  readonly record: ArchRecord;
  readonly index: SurfaceIndex;
  readonly version: number;
  readonly found: readonly SurfaceSeparation[];
}
const answers = new WeakMap<readonly PlacedMark[], Answer>();

let version = 0;
const listeners = new Set<() => void>();

export const separationsVersion = (): number => version;

export function onSeparations(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

interface Ask {
  readonly teeth: SurfaceSeparation['teeth'];
  readonly marks: ContactMarks;
  readonly key: string;
}

function asksOf({ frame, readings, activeReading }: ArchRecord): readonly Ask[] {
  const { marks } = readings[activeReading];
  return markedContacts(marks).flatMap((teeth) => {
    const own = contactMarks(marks, teeth);
    return own ? [{ teeth, marks: own, key: String([frame.occlusal, own.nearMm, own.farMm]) }] : [];
  });
}

function knownOf(index: SurfaceIndex): Map<string, Measured> {
  let known = measured.get(index);
  if (!known || known.size > MOST_KEPT) {
    known = new Map();
    measured.set(index, known);
  }
  return known;
}

const scanIndexOf = (record: ArchRecord): SurfaceIndex | null =>
  useStore.getState().scans[record.scan.sha256]?.index ?? null;

/**
 * Separations of a record measured on its scan, as far as they are known; the same list while nothing changes.
 * Without the scan none. What is not measured yet follows between frames: see `onSeparations`.
 */
export function surfaceSeparationsOf(record: ArchRecord): readonly SurfaceSeparation[] {
  const index = scanIndexOf(record);
  if (!index) return NONE;
  const { marks } = record.readings[record.activeReading];
  const answer = answers.get(marks);
  const isKept =
    answer?.index === index && answer.version === version && answer.record.frame === record.frame;
  if (isKept) return answer.found;
  const known = knownOf(index);
  const asks = asksOf(record);
  const open = asks.filter(({ key }) => !known.has(key));
  if (open.length <= AT_ONCE) for (const ask of open) measure(index, record, known, ask);
  else startFilling();
  const found = asks.flatMap(({ teeth, key }): readonly SurfaceSeparation[] => {
    const own = known.get(key);
    return own ? [{ teeth, ...own }] : [];
  });
  answers.set(marks, { record, index, version, found });
  return found;
}

function measure(index: SurfaceIndex, { frame }: ArchRecord, known: Map<string, Measured>, ask: Ask): void {
  known.set(ask.key, surfaceSeparationMm(index, frame, ask.marks));
}

let isFilling = false;
let isNews = false;

function startFilling(): void {
  if (isFilling) return;
  isFilling = true;
  setTimeout(fill, FIRST_WAIT_MS);
}

/** Measures for a few milliseconds what the records on the page still lack; tells when nothing is left. */
function fill(): void {
  const until = performance.now() + SLICE_MS;
  const { arches } = useStore.getState().caseDocument;
  for (const jaw of JAWS) {
    const record = arches[jaw];
    const index = record && scanIndexOf(record);
    if (!record || !index) continue;
    const known = knownOf(index);
    for (const ask of asksOf(record)) {
      if (known.has(ask.key)) continue;
      if (performance.now() > until) {
        setTimeout(fill);
        return;
      }
      measure(index, record, known, ask);
      isNews = true;
    }
  }
  isFilling = false;
  if (!isNews) return;
  isNews = false;
  version++;
  for (const listener of listeners) listener();
}
