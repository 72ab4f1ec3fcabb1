import { Refusal } from '../base/refusal.ts';

/** A table of texts; `line` is where the row begins in the file, 1-based. */
export interface TextTable {
  readonly columns: readonly string[];
  readonly rows: readonly TextRow[];
  readonly delimiter: string;
}

export interface TextRow {
  readonly line: number;
  readonly cells: readonly string[];
}

/** The part of papaparse's `parse` that is used; core is handed it, so that core stays pure. */
export type ParseCsv = (
  text: string,
  config: {
    readonly delimiter: string;
    readonly newline: '\n';
    readonly step: (result: {
      readonly data: unknown;
      readonly errors: readonly { readonly code: string; readonly message: string }[];
      readonly meta: { readonly cursor: number };
    }) => void;
  },
) => unknown;

/** Delimiters that are looked for, the likelier first. */
export const DELIMITERS: readonly string[] = [',', ';', '\t', '|', '^', '~', ':', '\x1f', ' '];

const MOST_BYTES = 200 * 2 ** 20;
const MOST_ROWS = 1_000_000;
const MOST_COLUMNS = 5000;
const ROWS_LOOKED_AT = 60; // for telling the delimiter

/**
 * The text of a table's bytes: UTF-8, or UTF-16 with its mark.
 * Refuses: 'file-empty', 'file-too-large', 'table-invalid' (other bytes, with the line).
 */
export function tableText(bytes: Uint8Array): string {
  if (bytes.length === 0)
    throw new Refusal(
      'file-empty',
      'readTable: the file is empty; got 0 bytes, need a table. Export it again.',
    );
  if (bytes.length > MOST_BYTES)
    throw new Refusal(
      'file-too-large',
      `readTable: the table is too large; got ${Math.round(bytes.length / 2 ** 20)} MiB, need at most 200. Split it.`,
    );
  const wide =
    bytes[0] === 0xff && bytes[1] === 0xfe
      ? 'utf-16le'
      : bytes[0] === 0xfe && bytes[1] === 0xff
        ? 'utf-16be'
        : null;
  const text = new TextDecoder(wide ?? 'utf-8').decode(bytes);
  const bad = text.search(/[\0\uFFFD]/);
  if (bad >= 0)
    throw invalid(lineAt(text, bad), 'bytes that are no text', 'UTF-8 or UTF-16. Save it as UTF-8');
  return text;
}

/**
 * A CSV table of any delimiter: the first line names the columns. Blank lines are passed over; a byte order mark,
 * quotes (RFC 4180) and any line end are understood.
 *
 * Shape:    `needs` — columns that the right delimiter must show; without it the likeliest delimiter is taken.
 * Refuses:  'file-empty', 'file-too-large', 'table-invalid' (a row of another length, an open quote, too many columns;
 *           with its line).
 */
export function readTable(
  text: string,
  parse: ParseCsv,
  options: { readonly delimiter?: string; readonly needs?: (columns: readonly string[]) => boolean } = {},
): TextTable {
  const clean = text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n');
  if (clean.trim() === '')
    throw new Refusal(
      'file-empty',
      'readTable: the file is empty; got no line, need a table. Export it again.',
    );
  const candidates = options.delimiter === undefined ? DELIMITERS : [options.delimiter];
  const delimiter = likeliest(candidates, clean, parse, options.needs) ?? candidates[0];
  const [head, ...rows] = rowsOf(clean, parse, delimiter, MOST_ROWS + 1);
  if (rows.length > MOST_ROWS)
    throw new Refusal(
      'file-too-large',
      `readTable: the table is too long; got more than ${MOST_ROWS} rows, need at most that. Split it.`,
    );
  const columns = head.cells.map((name) => name.trim());
  if (columns.length > MOST_COLUMNS)
    throw invalid(head.line, `${columns.length} columns`, `at most ${MOST_COLUMNS}. Leave out the others`);
  for (const row of rows)
    if (row.cells.length !== columns.length)
      throw invalid(
        row.line,
        `${row.cells.length} values`,
        `${columns.length}, one for each column. Correct the line; leave a missing value empty`,
      );
  return { columns, rows, delimiter };
}

/** The place of a column. Refuses: 'column-unknown', 'table-invalid' (named twice). */
export function columnIndex({ columns }: TextTable, name: string): number {
  const at = columns.indexOf(name);
  if (at < 0)
    throw new Refusal(
      'column-unknown',
      `readTable: there is no such column; got ${JSON.stringify(name)}, need one of ${shown(columns)}. Correct the name.`,
      { name },
    );
  if (columns.indexOf(name, at + 1) >= 0)
    throw invalid(1, `two columns named ${JSON.stringify(name)}`, 'different names. Rename one');
  return at;
}

const shown = (columns: readonly string[]): string =>
  columns
    .slice(0, 12)
    .map((name) => JSON.stringify(name.slice(0, 40)))
    .join(', ') + (columns.length > 12 ? ' …' : '');

function rowsOf(
  text: string,
  parse: ParseCsv,
  delimiter: string,
  most: number,
  lenient = false,
): readonly TextRow[] {
  const rows: TextRow[] = [];
  let line = 1;
  let from = 0;
  parse(text, {
    delimiter,
    newline: '\n',
    step: ({ data, errors, meta }) => {
      const cells = data as readonly string[];
      const isBlank = cells.length === 1 && cells[0].trim() === '';
      if (!lenient && errors.length > 0)
        throw invalid(line, errors[0].message.toLowerCase(), 'quotes that close. Correct the quotes');
      if (!isBlank && rows.length <= most) rows.push({ line, cells });
      for (; from < meta.cursor; from++) if (text.charCodeAt(from) === 10) line++;
    },
  });
  return rows;
}

/** The delimiter that shows the columns needed and splits most lines alike. */
function likeliest(
  candidates: readonly string[],
  text: string,
  parse: ParseCsv,
  needs: ((columns: readonly string[]) => boolean) | undefined,
): string | null {
  if (candidates.length === 1) return candidates[0];
  const start = firstLines(text);
  let best: { delimiter: string; score: number } | null = null;
  for (const delimiter of candidates) {
    const rows = rowsOf(start, parse, delimiter, ROWS_LOOKED_AT, true);
    const width = rows[0]?.cells.length ?? 0;
    if (width < 2) continue;
    const shows = needs?.(rows[0].cells.map((cell) => cell.trim())) ? 1000 : 0;
    const alike = rows.filter(({ cells }) => cells.length === width).length / rows.length;
    const score = shows + alike;
    if (!best || score > best.score + 1e-9) best = { delimiter, score };
  }
  return best?.delimiter ?? null;
}

function firstLines(text: string): string {
  let at = -1;
  for (let i = 0; i < ROWS_LOOKED_AT; i++) {
    at = text.indexOf('\n', at + 1);
    if (at < 0) return text;
  }
  return text.slice(0, at);
}

const lineAt = (text: string, index: number): number => text.slice(0, index).split(/\r\n?|\n/).length;

const invalid = (line: number, got: string, need: string): Refusal =>
  new Refusal('table-invalid', `readTable: line ${line} cannot be read; got ${got}, need ${need}.`, { line });
