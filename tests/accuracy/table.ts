import type { AccuracyRow } from './AccuracyRow.ts';

/** Between these lines of README stands the table; nothing there is written by hand. */
const TABLE_BEGIN = '<!-- accuracy table: written by npm run accuracy -->';
const TABLE_END = '<!-- end of accuracy table -->';

const SURFACES = { synthetic: 'synthetic', real: 'real', none: 'no surface' } as const;

/** The rows as a table of Markdown. */
export function accuracyTable(rows: readonly AccuracyRow[]): string {
  const head = ['What', 'Surface', 'On', 'n', 'RMS', 'Worst', 'Stated bound', 'Proven by'];
  const line = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`;
  return [
    line(head),
    line(['---', '---', '---', '--:', '--:', '--:', '---', '---']),
    ...rows.map((row) =>
      line([
        row.what,
        SURFACES[row.surface],
        row.on,
        String(row.n),
        row.typical,
        row.worst,
        row.holds ? row.bound : `${row.bound} **(not held)**`,
        `[${row.test.replace(/^tests\//, '').replace(/\.(test|spec)\.ts$/, '')}](${row.test})`,
      ]),
    ),
  ].join('\n');
}

/** README with the table put in; throws where it has no place for one. */
export function withTable(readme: string, rows: readonly AccuracyRow[]): string {
  const from = readme.indexOf(TABLE_BEGIN);
  const to = readme.indexOf(TABLE_END);
  if (from < 0 || to < from)
    throw new Error(`withTable: README lacks the lines ${TABLE_BEGIN} … ${TABLE_END}.`);
  return `${readme.slice(0, from + TABLE_BEGIN.length)}\n\n${accuracyTable(rows)}\n\n${readme.slice(to)}`;
}

/** The table as it stands in README. */
export function tableIn(readme: string): string {
  return readme.slice(readme.indexOf(TABLE_BEGIN) + TABLE_BEGIN.length, readme.indexOf(TABLE_END)).trim();
}
