import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { csvText } from '../../../src/app/storage/csvText.ts';
import type { Cell, Table } from '../../../src/core/casefile/tables.ts';

const table = (...rows: Cell[][]): Table => ({ name: 'space', header: ['a', 'b'], rows });
const cells = (text: string): string[][] => Papa.parse<string[]>(text.slice(1).trimEnd()).data;

describe('csvText', () => {
  it('writes numbers as numbers, nothing as nothing, and quotes what needs it', () => {
    expect(csvText(table([-1.25, null], ['a,b', 'say "x"'], [0, '-0.4']))).toBe(
      '\uFEFFa,b\r\n-1.25,\r\n"a,b","say ""x"""\r\n0,-0.4\r\n',
    );
  });

  it.each([
    '=1+1',
    '+cmd',
    '-cmd',
    '@SUM(A1)',
    '\t=1',
    '\r=1',
    '\n=1',
    '=HYPERLINK("http://x","y")',
    '-1+cmd|x!A0',
    '＝1+1',
    '+1.5e',
  ])('disarms %j', (text) => {
    expect(cells(csvText(table([text, 'x'])))[1]).toEqual([`'${text}`, 'x']);
  });

  it('gives every other text back unchanged', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', minLength: 1 }), (text) => {
        const [, [first]] = cells(csvText(table([text, 'end'])));
        expect(first === text || first === `'${text}`).toBe(true);
        expect(/^[=+@]/.test(first)).toBe(/^\+\d+(\.\d+)?$/.test(text));
      }),
      { seed: 6, numRuns: 500 },
    );
  });

  it('disarms column names too: they can come from a file of the user', () => {
    const text = csvText({ header: ['=cmd', 'b'], rows: [['@x', 1]] });
    expect(text).toBe(`\uFEFF"'=cmd",b\r\n"'@x",1\r\n`);
  });

  it('no CSV is written past it or past the same guard', () => {
    const src = fileURLToPath(new URL('../../../src/', import.meta.url));
    const writers = readdirSync(src, { recursive: true, withFileTypes: true })
      .filter((entry) => /\.tsx?$/.test(entry.name))
      .map((entry) => ({ file: entry.name, text: readFileSync(join(entry.parentPath, entry.name), 'utf8') }))
      .filter(({ text }) => /\bunparse\(/.test(text));
    expect(writers.map(({ file }) => file).sort()).toEqual(['csvText.ts', 'summary.ts']);
    for (const { file, text } of writers)
      expect(text.match(/unparse\([^;]*escapeFormulae: FORMULA_START/), file).not.toBeNull();
  });
});
