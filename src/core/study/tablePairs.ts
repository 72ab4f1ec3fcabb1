import { Refusal } from '../base/refusal.ts';
import { columnIndex, type TextTable } from './readTable.ts';

/** One row of two columns; null where a value is missing. */
export interface PairRow {
  readonly line: number;
  readonly by: string | null; // null: the group is not said
  readonly a: number | null;
  readonly b: number | null;
}

export interface TablePairs {
  readonly rows: readonly PairRow[];
  readonly decimal: '.' | ',';
  readonly remarks: readonly StudyRemark[];
}

/** Something worth knowing that changes no number by itself. */
export interface StudyRemark {
  readonly code: string;
  readonly message: string;
}

/** Texts that say a value is missing, whatever their case. */
const MISSING_WORDS: readonly string[] = [
  '',
  'na',
  'n/a',
  '#n/a',
  'nan',
  'null',
  'none',
  'missing',
  '.',
  '-',
  '–',
  '—',
];

const LARGEST = 1e100;
const POINT_NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i;
const COMMA_NUMBER = /^[+-]?(?:\d*,\d+|\d+,)(?:e[+-]?\d+)?$/i;
const THOUSANDS = /^[+-]?\d{1,3},\d{3}$/;
const LINES_NAMED = 8;

/**
 * Two columns of a table as numbers, with what is missing told apart from what is wrong.
 *
 * Shape:    `columns` — names of the first and second column; `by` — of the grouping column; `scale` — factor to the
 *           unit wanted; `decimal` — told from the two columns unless said.
 * Refuses:  'column-unknown', 'table-invalid', 'number-invalid' (a text that is no number, points and commas mixed,
 *           too large; with its line).
 */
export function tablePairs(
  table: TextTable,
  asked: {
    readonly columns: readonly [string, string];
    readonly by?: string | undefined;
    readonly decimal?: '.' | ',' | undefined;
    readonly scale?: number | undefined;
  },
): TablePairs {
  const [first, second] = asked.columns.map((name) => columnIndex(table, name));
  const group = asked.by === undefined ? null : columnIndex(table, asked.by);
  const remarks: StudyRemark[] = [];
  const decimal = asked.decimal ?? decimalOf(table, [first, second], remarks);
  const valueIn = (row: TextTable['rows'][number], column: number): number | null =>
    numberIn(row.cells[column], decimal, row.line, table.columns[column], asked.scale ?? 1);
  const rows = table.rows.map(
    (row): PairRow => ({
      line: row.line,
      by: group === null ? null : row.cells[group].trim() || null,
      a: valueIn(row, first),
      b: valueIn(row, second),
    }),
  );
  const lacking = rows.filter(({ a, b }) => a === null || b === null);
  if (lacking.length > 0)
    remarks.push({
      code: 'values-missing',
      message: `${lacking.length} of ${rows.length} rows lack a value and are left out: ${countIn(rows, 'a')} in ${JSON.stringify(asked.columns[0])}, ${countIn(rows, 'b')} in ${JSON.stringify(asked.columns[1])}; ${linesOf(lacking)}.`,
    });
  const ungrouped = group === null ? [] : rows.filter(({ by }) => by === null);
  if (ungrouped.length > 0)
    remarks.push({
      code: 'group-missing',
      message: `${ungrouped.length} of ${rows.length} rows have no ${JSON.stringify(asked.by)} and count in the pooled group only; ${linesOf(ungrouped)}.`,
    });
  return { rows, decimal, remarks };
}

const countIn = (rows: readonly PairRow[], column: 'a' | 'b'): number =>
  rows.filter((row) => row[column] === null).length;

const linesOf = (rows: readonly { readonly line: number }[]): string =>
  `${rows.length === 1 ? 'line' : 'lines'} ${rows
    .slice(0, LINES_NAMED)
    .map(({ line }) => line)
    .join(', ')}${rows.length > LINES_NAMED ? ' …' : ''}`;

const trimmed = (cell: string): string => cell.trim().replace(/^\u2212/, '-');

const isMissing = (cell: string): boolean => MISSING_WORDS.includes(trimmed(cell).toLowerCase());

/** Which mark parts the decimals in these columns; both in one file are refused. */
function decimalOf(table: TextTable, columns: readonly number[], remarks: StudyRemark[]): '.' | ',' {
  let [point, comma]: [number | null, number | null] = [null, null];
  let couldBeThousands = table.delimiter === ',';
  for (const { line, cells } of table.rows)
    for (const column of columns) {
      const cell = trimmed(cells[column]);
      if (COMMA_NUMBER.test(cell)) {
        comma ??= line;
        couldBeThousands &&= THOUSANDS.test(cell);
      } else if (cell.includes('.') && POINT_NUMBER.test(cell)) point ??= line;
    }
  if (comma === null) return '.';
  if (point !== null)
    throw new Refusal(
      'number-invalid',
      `tablePairs: decimal points and commas are mixed; got a comma in line ${comma} and a point in line ${point}, need one of them throughout. Correct the file.`,
      { line: Math.max(comma, point) },
    );
  if (couldBeThousands)
    throw new Refusal(
      'number-invalid',
      `tablePairs: a comma may part decimals or thousands; got it in line ${comma} of a table parted by commas, need numbers without thousands marks. Correct the file, or part its columns by semicolons.`,
      { line: comma },
    );
  remarks.push({
    code: 'decimal-comma',
    message: `Commas were read as decimal marks, first in line ${comma}.`,
  });
  return ',';
}

function numberIn(
  text: string,
  decimal: '.' | ',',
  line: number,
  column: string,
  scale: number,
): number | null {
  if (isMissing(text)) return null;
  const cell = trimmed(text);
  const isNumber = POINT_NUMBER.test(cell) || (decimal === ',' && COMMA_NUMBER.test(cell));
  const value = isNumber ? Number(cell.replace(',', '.')) * scale : Number.NaN;
  if (Math.abs(value) <= LARGEST) return value;
  const need = isNumber
    ? 'a number up to 1e100'
    : 'a number without unit or thousands marks, or nothing where it is missing';
  throw new Refusal(
    'number-invalid',
    `tablePairs: line ${line}, column ${JSON.stringify(column)}, is no number that can be used; got ${JSON.stringify(cell.slice(0, 40))}, need ${need}. Correct the cell.`,
    { line, column },
  );
}
