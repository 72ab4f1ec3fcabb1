import Papa from 'papaparse';
import { FORMULA_START } from '../../core/base/formulaStart.ts';
import type { Table } from '../../core/casefile/tables.ts';

/** A table as CSV (RFC 4180, CRLF) with a byte order mark, so that a spreadsheet reads it as UTF-8. */
export const csvText = ({ header, rows }: Pick<Table, 'header' | 'rows'>): string =>
  `\uFEFF${Papa.unparse(
    { fields: [...header], data: rows.map((row) => [...row]) },
    { escapeFormulae: FORMULA_START, newline: '\r\n' },
  )}\r\n`;
