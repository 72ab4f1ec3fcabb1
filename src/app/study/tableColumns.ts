import { isTooth } from '../../core/base/tooth.ts';
import type { TextTable } from '../../core/study/readTable.ts';
import { BY_KIND, type StudyState } from './studyStore.ts';

const ROWS_LOOKED_AT = 200;
/** Names of columns that number rows or people. */
const NO_MEASUREMENT =
  /^(id|no\.?|nr\.?|n|row|line|tooth|teeth|subject|patient|case|repeat|replicate|reading)$/i;
/** Names of columns that hold the SD of another. */
const SD_NAME = /(^|[^a-z])(sd|s\.d\.|std|stdev|standard deviation)([^a-z]|$)/i;

const cellsOf = ({ rows }: TextTable, column: number): readonly string[] =>
  rows
    .slice(0, ROWS_LOOKED_AT)
    .map(({ cells }) => cells[column].trim())
    .filter(Boolean);

const isNumeric = (cells: readonly string[]): boolean =>
  cells.length > 0 &&
  cells.filter((cell) => /^[+\-−]?[\d.,]+(e[+-]?\d+)?$/i.test(cell)).length > cells.length / 2;

/** Tooth numbers whatever the column is called: whole numbers, each of them a tooth. */
const areTeeth = (cells: readonly string[]): boolean =>
  cells.length > 1 && cells.every((cell) => /^\d\d$/.test(cell) && isTooth(Number(cell)));

/** What the columns of a table seem to hold. */
export interface ColumnGuess {
  readonly tooth: string; // empty: none
  readonly measured: readonly string[];
  readonly sds: readonly string[];
}

export function guessColumns(table: TextTable): ColumnGuess {
  const named = table.columns.map((name, i) => ({ name, cells: cellsOf(table, i) })).filter((c) => c.name);
  const tooth = named.find(({ cells }) => areTeeth(cells))?.name ?? '';
  const numeric = named
    .filter(({ name, cells }) => name !== tooth && !NO_MEASUREMENT.test(name) && isNumeric(cells))
    .map(({ name }) => name);
  return {
    tooth,
    measured: numeric.filter((name) => !SD_NAME.test(name)),
    sds: numeric.filter((name) => SD_NAME.test(name)),
  };
}

/** The choice to begin with: the first two measured columns, grouped by the kind of tooth where that can be told. */
export function firstChoice(table: TextTable): Partial<StudyState['table']> {
  const { tooth, measured, sds } = guessColumns(table);
  return {
    tooth,
    by: tooth ? BY_KIND : '',
    first: measured[0] ?? '',
    second: measured[1] ?? '',
    sdFirst: sds.length === 2 ? sds[0] : '',
    sdSecond: sds.length === 2 ? sds[1] : '',
    leftOut: [],
  };
}

/** The columns that are compared all together: measured, and not put to another use. */
export const comparedColumns = (table: TextTable, chosen: StudyState['table']): readonly string[] =>
  guessColumns(table).measured.filter(
    (name) => ![chosen.tooth, chosen.by, chosen.sdFirst, chosen.sdSecond].includes(name),
  );
