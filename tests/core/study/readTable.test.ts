import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { DELIMITERS, type ParseCsv, readTable, tableText } from '../../../src/core/study/readTable.ts';
import { tablePairs } from '../../../src/core/study/tablePairs.ts';
import { refusalOf } from '../../support/refusal.ts';

const parse = Papa.parse as unknown as ParseCsv;
const pairsIn = (text: string, columns: readonly [string, string] = ['a', 'b'], by?: string) =>
  tablePairs(readTable(text, parse), { columns, by });
const valuesIn = (text: string) => pairsIn(text).rows.map(({ a, b }) => [a, b]);

describe('tables of every kind', () => {
  it('any delimiter, told from the table', () => {
    for (const delimiter of DELIMITERS) {
      const text = [
        ['id', 'a', 'b'],
        ['x1', '1.5', '-2'],
        ['x2', '3', '4e-1'],
      ]
        .map((row) => row.join(delimiter))
        .join('\n');
      expect(readTable(text, parse).delimiter, JSON.stringify(delimiter)).toBe(delimiter);
      expect(valuesIn(text)).toEqual([
        [1.5, -2],
        [3, 0.4],
      ]);
    }
  });

  it('decimal commas, by a semicolon, a tab or quoted', () => {
    for (const text of ['a;b\n1,5;2,25\n3;,5', 'a\tb\n1,5\t2,25\n3\t,5', 'a,b\n"1,5","2,25"\n3,",5"'])
      expect(valuesIn(text)).toEqual([
        [1.5, 2.25],
        [3, 0.5],
      ]);
    expect(pairsIn('a;b\n1,5;2').remarks.map(({ code }) => code)).toEqual(['decimal-comma']);
  });

  it('quotes, line ends of every system, blank lines and a byte order mark', () => {
    const text = '\uFEFF"tooth, side","a" ,b\r\n"1""1",1,2\r\r\n"2\n1",3,4\n\n';
    const table = readTable(text, parse);
    expect(table.columns).toEqual(['tooth, side', 'a', 'b']);
    expect(table.rows.map(({ line }) => line)).toEqual([2, 4]);
    expect(valuesIn(text)).toEqual([
      [1, 2],
      [3, 4],
    ]);
  });

  it('UTF-16 with its mark, and names in any script', () => {
    const text = '\uFEFFZahnbreite,幅\n1,2\n';
    const wide = new Uint8Array(text.length * 2);
    const view = new DataView(wide.buffer);
    for (let i = 0; i < text.length; i++) view.setUint16(2 * i, text.charCodeAt(i), true);
    expect(readTable(tableText(wide), parse).columns).toEqual(['Zahnbreite', '幅']);
    for (let i = 0; i < text.length; i++) view.setUint16(2 * i, text.charCodeAt(i), false);
    expect(readTable(tableText(wide), parse).columns).toEqual(['Zahnbreite', '幅']);
  });

  it('the true minus sign', () => {
    expect(valuesIn('a,b\n−1.5,2')).toEqual([[-1.5, 2]]);
  });

  it('what is missing is told, never made 0', () => {
    const { rows, remarks } = pairsIn('t,a,b\n11,,2\n12,NA,nan\n13,-,–\n,3,4\n', ['a', 'b'], 't');
    expect(rows.map(({ a, b }) => [a, b])).toEqual([
      [null, 2],
      [null, null],
      [null, null],
      [3, 4],
    ]);
    expect(remarks).toEqual([
      {
        code: 'values-missing',
        message: '3 of 4 rows lack a value and are left out: 3 in "a", 2 in "b"; lines 2, 3, 4.',
      },
      {
        code: 'group-missing',
        message: '1 of 4 rows have no "t" and count in the pooled group only; line 5.',
      },
    ]);
  });

  it('whatever was written is read back', () => {
    const rows = fc.array(fc.tuple(fc.double({ noNaN: true, min: -1e90, max: 1e90 }), fc.string()), {
      minLength: 1,
      maxLength: 12,
    });
    fc.assert(
      fc.property(
        rows,
        fc.constantFrom(',', ';', '\t', '|'),
        fc.constantFrom('\n', '\r\n'),
        (data, delimiter, newline) => {
          const text = Papa.unparse([['a', 'note', 'b'], ...data.map(([a, note]) => [a, note, -a])], {
            delimiter,
            newline,
          });
          const pairs = tablePairs(readTable(text, parse, { delimiter }), { columns: ['a', 'b'] });
          expect(pairs.rows.map(({ a, b }) => [a, b])).toEqual(data.map(([a]) => [a + 0, 0 - a]));
        },
      ),
      { seed: 10, numRuns: 200 },
    );
  });
});

describe('hostile tables', () => {
  it.each([
    ['', 'file-empty', ''],
    ['\uFEFF \n\n', 'file-empty', ''],
    ['a,b\n1,2\n3,4,5\n', 'table-invalid', 'line 3'],
    ['a,b\n1,2\n3\n', 'table-invalid', 'line 3'],
    ['a,b\n1,2\n"3,4\n5,6\n', 'table-invalid', 'line 3'],
    ['a,b\n"1"x,2\n', 'table-invalid', 'line 2'],
    ['a,a,b\n1,2,3\n', 'table-invalid', 'two columns'],
    ['x,y\n1,2\n', 'column-unknown', '"x", "y"'],
    ['a,b\n1,2\n1,2 mm\n', 'number-invalid', 'line 3'],
    ['a,b\n1,0x10\n', 'number-invalid', 'line 2'],
    ['a,b\n1,Infinity\n', 'number-invalid', 'line 2'],
    ['a,b\n1,1e999\n', 'number-invalid', 'line 2'],
    ['a,b\n1,=1+1\n', 'number-invalid', 'line 2'],
    ['a;b\n1.5;2\n1,5;2\n', 'number-invalid', 'line 3'],
    ['a;b\n1.234,5;2\n', 'number-invalid', 'line 2'],
    ['a,b\n"1,234","5,678"\n', 'number-invalid', 'thousands'],
    ['a,b\n"1\n2",3\n', 'number-invalid', 'line 2'],
    ['__proto__,b\n1,2\n', 'column-unknown', '"a"'],
  ])('%j is refused: %s, %s', async (text, code, word) => {
    const refusal = await refusalOf(() => pairsIn(text));
    expect(refusal.code).toBe(code);
    expect(refusal.message).toContain(word);
  });

  it('bytes that are no text, with the line', async () => {
    const refusal = await refusalOf(() => tableText(new Uint8Array([97, 44, 98, 10, 49, 44, 0xff, 10])));
    expect(refusal.code).toBe('table-invalid');
    expect(refusal.message).toContain('line 2');
    expect((await refusalOf(() => tableText(new Uint8Array(0)))).code).toBe('file-empty');
    expect((await refusalOf(() => tableText(new Uint8Array([80, 75, 3, 4, 0, 0])))).code).toBe(
      'table-invalid',
    );
  });

  it('columns named like parts of every object are columns', () => {
    const pairs = tablePairs(readTable('__proto__,constructor\n1,2\n', parse), {
      columns: ['__proto__', 'constructor'],
    });
    expect(pairs.rows).toEqual([{ line: 2, by: null, a: 1, b: 2 }]);
  });

  it('random bytes and random texts are read or refused, nothing else', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(
          fc.uint8Array({ maxLength: 80 }),
          fc.string({ unit: fc.constantFrom(...'a,b;\n"1. \r\t-') }),
        ),
        async (input) => {
          const bytes = typeof input === 'string' ? new TextEncoder().encode(input) : input;
          try {
            pairsIn(tableText(bytes));
          } catch (error) {
            expect(
              (
                await refusalOf(() => {
                  throw error;
                })
              ).code,
            ).toMatch(/^(file-empty|table-invalid|column-unknown|number-invalid)$/);
          }
        },
      ),
      { seed: 11, numRuns: 500 },
    );
  });
});
