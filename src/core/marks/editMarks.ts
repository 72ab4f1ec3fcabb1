import type { Vec3 } from '../base/Vec3.ts';
import { type Mark, markKey, type PlacedMark, type Reading } from './Mark.ts';

type MarkName = Pick<Mark, 'tooth' | 'site'>;

/** The reading with `mark` added, or standing in place of the mark of the same tooth and site. */
export function placeMark(reading: Reading, mark: PlacedMark): Reading {
  const at = reading.marks.findIndex((other) => markKey(other) === markKey(mark));
  if (at < 0) return { ...reading, marks: [...reading.marks, mark] };
  return { ...reading, marks: reading.marks.map((other, i) => (i === at ? mark : other)) };
}

function change(reading: Reading, name: MarkName, edit: (mark: PlacedMark) => PlacedMark): Reading {
  const at = reading.marks.findIndex((mark) => markKey(mark) === markKey(name));
  if (at < 0) throw new Error(`change: got ${markKey(name)}, need a mark of this reading.`);
  return { ...reading, marks: reading.marks.map((mark, i) => (i === at ? edit(mark) : mark)) };
}

/**
 * The reading with one mark moved by the user, and therefore confirmed; `confidence` null where nobody can say.
 * The SD of the place it left goes: the new one is `sdMm`, or unknown.
 */
export const moveMark = (
  reading: Reading,
  name: MarkName,
  pointMm: Vec3,
  confidence: number | null = null,
  sdMm?: number,
): Reading =>
  change(reading, name, ({ tooth, site }) => ({
    tooth,
    site,
    pointMm,
    confidence,
    state: 'confirmed',
    ...(sdMm === undefined ? {} : { sdMm }),
  }));

/** The reading with one mark accepted as it stands. */
export const confirmMark = (reading: Reading, name: MarkName): Reading =>
  change(reading, name, (mark) => ({ ...mark, state: 'confirmed' }));

/** The reading without one mark; unchanged where there is none. */
export function removeMark(reading: Reading, name: MarkName): Reading {
  const marks = reading.marks.filter((mark) => markKey(mark) !== markKey(name));
  return marks.length === reading.marks.length ? reading : { ...reading, marks };
}
