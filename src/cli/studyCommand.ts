import Papa from 'papaparse';
import { checkedDocument } from '../core/casefile/readDocument.ts';
import { type ParseCsv, readTable, tableText } from '../core/study/readTable.ts';
import type { StudyFile } from '../core/study/StudyFile.ts';
import { study, studyFile } from '../core/study/study.ts';
import { tablePairs } from '../core/study/tablePairs.ts';
import { type Command, UsageError } from './Command.ts';
import { commandWords } from './commandWords.ts';
import { fileBytes } from './readFile.ts';

const OPTIONS = { columns: { type: 'string' }, by: { type: 'string' } } as const;

/**
 * `study PAIRS.csv --columns a,b [--by tooth]`: agreement of two columns, `study@1`; difference = first − second.
 * What is missing, and why a figure is, is told on stderr.
 *
 * Refuses:  'file-access', 'file-empty', 'file-too-large', 'table-invalid', 'column-unknown', 'number-invalid',
 *           'too-few-pairs'.
 */
export const studyCommand: Command = async (words, { warn }): Promise<StudyFile> => {
  const { values, positionals } = commandWords(words, OPTIONS, ['PAIRS.csv']);
  if (values.columns === undefined) throw new UsageError('--columns a,b is missing');
  const splits = twoNames(values.columns);
  if (splits.length === 0)
    throw new UsageError(`--columns is "${values.columns}", need two columns, as in caliper,scan`);
  const named = (columns: readonly string[]) =>
    splits.find((names) => names.every((name) => columns.includes(name)));
  const text = tableText(await fileBytes(positionals[0]));
  const table = readTable(text, Papa.parse as unknown as ParseCsv, {
    needs: (columns) => named(columns) !== undefined,
  });
  const columns = named(table.columns) ?? splits[0];
  if (columns[0] === columns[1]) throw new UsageError('--columns names one column twice, need two');
  const pairs = tablePairs(table, { columns, by: values.by });
  const result = study(pairs.rows);
  for (const { code, message } of [...pairs.remarks, ...result.remarks]) warn(`warning ${code}: ${message}`);
  return checkedDocument(studyFile(result), 'study');
};

/** Every way to read `a,b` as two names; a name may hold a comma itself. */
function twoNames(text: string): readonly (readonly [string, string])[] {
  const names = text.split(',');
  return names.slice(1).flatMap((_, i): readonly (readonly [string, string])[] => {
    const [first, second] = [names.slice(0, i + 1), names.slice(i + 1)].map((part) => part.join(',').trim());
    return first && second ? [[first, second]] : [];
  });
}
