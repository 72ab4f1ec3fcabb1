import { basename, resolve } from 'node:path';
import Papa from 'papaparse';
import { Refusal } from '../../core/base/refusal.ts';
import { type ParseCsv, readTable, type TextRow, tableText } from '../../core/study/readTable.ts';
import { UsageError } from '../Command.ts';
import { checkPrimary, oneOf, primaryList, toothList, toothRange } from '../commandWords.ts';
import type { BatchCase, CaseAsked } from './BatchCase.ts';

/** Columns a manifest may have; the first two it must. Others are passed over. */
const COLUMNS = ['scan', 'jaw', 'marks', 'missing', 'primary', 'unit', 'teeth', 'case'] as const;
type Column = (typeof COLUMNS)[number];

const LONGEST_NAME = 100;

/**
 * The cases of a manifest; paths are relative to `folder`, the manifest's own. A row that says no case stays in the
 * list with its fault, so that it cannot stop the others.
 *
 * Refuses:  as `readTable`; 'column-unknown' (no column scan or jaw), 'manifest-invalid' (no row; a name used twice).
 */
export function readManifest(bytes: Uint8Array, folder: string): readonly BatchCase[] {
  const table = readTable(tableText(bytes), Papa.parse as unknown as ParseCsv, {
    needs: (columns) => columns.includes('scan') && columns.includes('jaw'),
  });
  const places = new Map<Column, number>();
  for (const column of COLUMNS) {
    const at = table.columns.indexOf(column);
    if (at >= 0) places.set(column, at);
  }
  for (const column of ['scan', 'jaw'] as const)
    if (!places.has(column))
      throw new Refusal(
        'column-unknown',
        `readManifest: the manifest has no column "${column}"; got ${table.columns.slice(0, 12).join(', ')}, need at least scan and jaw. Name the columns in the first line.`,
      );
  if (table.rows.length === 0)
    throw new Refusal(
      'manifest-invalid',
      'readManifest: the manifest names no scan; got no row, need one a scan. Add rows.',
    );
  const cell = (row: TextRow, column: Column): string => {
    const at = places.get(column);
    return at === undefined ? '' : row.cells[at].trim();
  };
  const names = uniqueNames(
    table.rows.map((row) => [row.line, cell(row, 'case'), cell(row, 'scan'), cell(row, 'jaw')]),
  );
  return table.rows.map((row, i) => {
    const scan = cell(row, 'scan');
    const { asked, fault } = askedOf(row, cell, folder);
    return {
      name: names[i],
      line: row.line,
      scan,
      scanPath: resolve(folder, scan),
      jaw: cell(row, 'jaw'),
      asked,
      fault,
    };
  });
}

function askedOf(
  row: TextRow,
  cell: (row: TextRow, column: Column) => string,
  folder: string,
): Pick<BatchCase, 'asked' | 'fault'> {
  try {
    if (cell(row, 'scan') === '') throw new UsageError('scan is missing');
    const jaw = oneOf('jaw', cell(row, 'jaw').toLowerCase() || undefined, ['upper', 'lower']);
    const unit = oneOf('unit', cell(row, 'unit') || 'mm', ['mm', 'cm', 'm', 'in', 'um']);
    const list = (column: 'missing' | 'primary'): string =>
      cell(row, column)
        .split(/[\s,;]+/)
        .filter(Boolean)
        .join(',');
    const [missing, primary] = [list('missing'), list('primary')];
    const teeth = cell(row, 'teeth');
    const marks = cell(row, 'marks');
    const asked: CaseAsked = {
      jaw,
      unit,
      missing: missing === '' ? [] : toothList('missing', missing, jaw),
      primary: primary === '' ? [] : primaryList('primary', primary, jaw),
      range: teeth === '' ? null : toothRange('teeth', teeth, jaw),
      marksPath: marks === '' ? null : resolve(folder, marks),
    };
    checkPrimary('primary', asked.primary, asked.missing);
    return { asked, fault: null };
  } catch (error) {
    if (!(error instanceof UsageError || error instanceof Refusal)) throw error;
    const code = error instanceof Refusal ? error.code : 'manifest-invalid';
    return {
      asked: null,
      fault: {
        code,
        message: `readManifest: line ${row.line}: ${error.message}${error instanceof Refusal ? '' : '. Correct the row.'}`,
      },
    };
  }
}

/** A name for each row: its own, or its scan's; the jaw, then a number, is added where names would be the same. */
function uniqueNames(rows: readonly (readonly [number, string, string, string])[]): readonly string[] {
  const given = new Map<string, number>();
  for (const [line, name] of rows) {
    if (name === '') continue;
    const key = fileNameOf(name).toLowerCase();
    const other = given.get(key);
    if (other !== undefined)
      throw new Refusal(
        'manifest-invalid',
        `readManifest: two cases have one name; got ${JSON.stringify(name)} in lines ${other} and ${line}, need a name for each. Rename one.`,
        { line },
      );
    given.set(key, line);
  }
  const stems = rows.map(([, , scan]) =>
    fileNameOf(basename(scan.replaceAll('\\', '/')).replace(/\.[^.]+$/, '')),
  );
  const shared = (stem: string): boolean =>
    stems.filter((other, i) => rows[i][1] === '' && other.toLowerCase() === stem.toLowerCase()).length > 1;
  const taken = new Set(given.keys());
  return rows.map(([, name, , jaw], i) => {
    if (name !== '') return fileNameOf(name);
    const base = shared(stems[i]) ? `${stems[i]}-${fileNameOf(jaw)}` : stems[i];
    let unique = base;
    for (let k = 2; taken.has(unique.toLowerCase()); k++) unique = `${base}-${k}`;
    taken.add(unique.toLowerCase());
    return unique;
  });
}

/** A text as part of a file name on any system. */
const fileNameOf = (text: string): string =>
  text
    .replace(/[^\p{L}\p{N}._-]+/gu, '_')
    .replace(/^\.+/, '_')
    .slice(0, LONGEST_NAME) || 'scan';
