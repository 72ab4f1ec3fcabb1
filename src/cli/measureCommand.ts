import type { MeasurementFile } from '../core/casefile/measurementSchema.ts';
import { openScan } from '../core/scan/openScan.ts';
import type { Command } from './Command.ts';
import { checkPrimary, commandWords, oneOf, primaryList, toothList, toothRange } from './commandWords.ts';
import { fileBytes, fileText } from './readFile.ts';

const OPTIONS = {
  jaw: { type: 'string' },
  marks: { type: 'string' },
  missing: { type: 'string' },
  primary: { type: 'string' },
  teeth: { type: 'string' },
  unit: { type: 'string' },
} as const;

/**
 * `measure SCAN --jaw upper|lower [--marks FILE] [--teeth 17-27] [--missing 12,22] [--primary 75,85]
 * [--unit …]`: measures one arch and gives `measurement@1`. Without marks it proposes them, and says which are doubtful.
 *
 * Refuses:  as `openScan`, `findArchFrame`, `proposeMarks`, `readDocument` and `measureArch`; 'no-surface-near'
 *           where a mark is off the surface; 'jaw-mismatch', 'tooth-unknown' for teeth named.
 */
export const measureCommand: Command = async (words, { progress }): Promise<MeasurementFile> => {
  const { values, positionals } = commandWords(words, OPTIONS, ['SCAN']);
  const jaw = oneOf('--jaw', values.jaw, ['upper', 'lower']);
  const unit = oneOf('--unit', values.unit ?? 'mm', ['mm', 'cm', 'm', 'in', 'um']);
  const missing = values.missing === undefined ? [] : toothList('--missing', values.missing, jaw);
  const primary = values.primary === undefined ? [] : primaryList('--primary', values.primary, jaw);
  checkPrimary('--primary', primary, missing);
  const range = values.teeth === undefined ? null : toothRange('--teeth', values.teeth, jaw);
  const marks = values.marks === undefined ? null : await marksFrom(values.marks);

  progress(`reading ${positionals[0]}`);
  const scan = await openScan(await fileBytes(positionals[0]), positionals[0], { unit });
  progress(`measuring ${scan.facts.triangles} triangles`);
  // Loaded only now, so that a scan that must be refused is refused quickly.
  const { measureScan } = await import('./measureScan.ts');
  return measureScan(scan, { jaw, missing, primary, range, marks });
};

async function marksFrom(path: string) {
  const { readDocument } = await import('../core/casefile/readDocument.ts');
  return readDocument(await fileText(path), 'marks');
}
