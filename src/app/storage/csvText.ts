import Papa from 'papaparse';
import type { Table } from '../../core/casefile/tables.ts';

/**
 * A text that a spreadsheet would run as a formula, and is no number; it gets a leading apostrophe.
 * Numbers, signed ones too, stay numbers. Full-width forms count: some programs fold them.
 */
const FORMULA = /^(?![+-]?\d+(?:\.\d+)?$)[=+\-@\t\r\n＝＋－＠]/;

/** A table as CSV (RFC 4180, CRLF) with a byte order mark, so that a spreadsheet reads it as UTF-8. */
export const csvText = ({ header, rows }: Table): string =>
  `\uFEFF${Papa.unparse(
    { fields: [...header], data: rows.map((row) => [...row]) },
    { escapeFormulae: FORMULA, newline: '\r\n' },
  )}\r\n`;
