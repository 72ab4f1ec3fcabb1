import { describe, expect, it } from 'vitest';
import { readPasted, typedNumber, withCaliperWidth } from '../../../src/app/study/caliperEntry.ts';
import { figureRows, figuresTable } from '../../../src/app/study/figureRows.ts';
import { methodsText } from '../../../src/app/study/methodsText.ts';
import { readingWidths } from '../../../src/app/study/readingWidths.ts';
import { severalRows } from '../../../src/app/study/SeveralPanel.tsx';
import {
  dataOfCaliper,
  dataOfReadings,
  dataOfTable,
  resultOf,
  tableOf,
} from '../../../src/app/study/studyData.ts';
import { BY_KIND, FIRST_TABLE, useStudy } from '../../../src/app/study/studyStore.ts';
import { doubtOf, summaryOf } from '../../../src/app/study/summary.ts';
import { firstChoice, guessColumns } from '../../../src/app/study/tableColumns.ts';
import type { PlacedMark, Reading } from '../../../src/core/marks/Mark.ts';
import { STUDY_CONVENTIONS } from '../../../src/core/study/Conventions.ts';
import { dahlbergError } from '../../../src/core/study/technicalError.ts';
import { PEARSON_YORK } from '../../support/publishedPairs.ts';

const mark = (tooth: number, site: 'mesial' | 'distal', x: number): PlacedMark => ({
  tooth,
  site,
  pointMm: [x, 0, 0],
  state: 'confirmed',
  confidence: null,
});
const reading = (observer: string, repeat: number, widths: Readonly<Record<number, number>>): Reading => ({
  observer,
  repeat,
  marks: Object.entries(widths).flatMap(([tooth, width]) => [
    mark(Number(tooth), 'mesial', 10),
    mark(Number(tooth), 'distal', 10 + width),
  ]),
});

describe('readings', () => {
  const first = reading('A', 1, { 41: 5.5, 42: 6, 43: 7 });
  const second = reading('A', 2, { 41: 5.6, 42: 5.9, 43: 7.1, 44: 7.2 });
  const third = reading('B', 1, { 41: 5.4, 42: 6.1, 43: 7 });

  it('are paired tooth by tooth; a tooth that only one has is missing, not 0', () => {
    const { rows, names } = dataOfReadings([first, second], [0, 1]);
    expect(names).toEqual(['A, reading 1', 'A, reading 2']);
    expect(rows.map(({ label, a, b, by }) => [label, a, b && Number(b.toFixed(9)), by])).toEqual([
      ['44', null, 7.2, 'premolars'],
      ['43', 7, 7.1, 'canines'],
      ['42', 6, 5.9, 'incisors'],
      ['41', 5.5, 5.6, 'incisors'],
    ]);
  });

  it('a width needs both its points', () => {
    expect([...readingWidths({ ...first, marks: first.marks.slice(0, 3) })]).toEqual([[41, 5.5]]);
  });

  it('three readings are compared together, those of one observer apart from all', () => {
    expect(dataOfReadings([first, second], [0, 1]).several).toBeNull();
    const empty = reading('B', 2, {});
    const result = resultOf(dataOfReadings([first, second, third, empty], [0, 1]), STUDY_CONVENTIONS);
    if (!result.several || 'why' in result.several) throw new Error('no comparison of all');
    const { any, sameObserver, icc, complete, incomplete, names, biases } = result.several.ok;
    expect(names).toEqual(['A, reading 1', 'A, reading 2', 'B, reading 1']);
    expect({ complete, incomplete }).toEqual({ complete: 3, incomplete: 0 });
    expect(icc).toMatchObject({ subjects: 3, raters: 3 });
    expect(any.readings).toBe(9);
    expect(sameObserver!.withinSd).toBeCloseTo(dahlbergError([5.5, 6, 7], [5.6, 5.9, 7.1]), 9);
    expect(biases!.reduce((sum, { bias }) => sum + bias, 0)).toBeCloseTo(0, 12);
    expect(severalRows(result.several.ok, 'mm').map(({ label }) => label)).toContain(
      'SD within subjects, the same observer, mm',
    );
  });

  it('a reading left out takes no part in it', () => {
    const four = [first, second, third, reading('C', 1, { 41: 9, 42: 9, 43: 9 })];
    const without = dataOfReadings(four, [0, 1], [3]).several!;
    expect(without.readings.map(({ name }) => name)).toEqual([
      'A, reading 1',
      'A, reading 2',
      'B, reading 1',
    ]);
    expect(dataOfReadings(four, [0, 1], [2, 3]).several).toBeNull();
  });
});

describe('caliper', () => {
  it('reads points and commas, and takes nothing from nonsense', () => {
    expect(
      ['5.5', ' 5,5 ', '12.', '', 'x', '-5', '0', '5.5.5', '1e3', '31', '7 mm'].map(typedNumber),
    ).toEqual([5.5, 5.5, 12, null, null, null, null, null, null, null, null]);
  });

  const teeth = [43, 42, 41, 31];
  it('pasted lines are all taken or none, a heading passed over', () => {
    const widths = [
      { tooth: 41, widthMm: 5.5 },
      { tooth: 42, widthMm: 6.4 },
      { tooth: 31, widthMm: 5.6 },
    ];
    expect(readPasted('41 5.5\n\n42;6,4\r\n31,\t5.6 mm', teeth)).toEqual({ widths });
    expect(readPasted('Zahn\tBreite\n41\t5,5\n42\t6,4\n31\t5,6\n', teeth)).toEqual({ widths });
    for (const line of ['49 5.5', '41 wide', '4 5.5', '41 0', '41 5.5 5.6', '31 5.7', '41,5.4'])
      expect(readPasted(`31 5.5\n${line}`, teeth), line).toMatchObject({
        fault: expect.stringContaining('Line 2'),
      });
  });

  it('widths alone belong to the teeth in order', () => {
    expect(readPasted('7,0\n6.4', teeth)).toEqual({
      widths: [
        { tooth: 43, widthMm: 7 },
        { tooth: 42, widthMm: 6.4 },
      ],
    });
    expect(readPasted('7\n6\n5\n5\n7', teeth)).toMatchObject({
      fault: expect.stringContaining('5 widths for 4 teeth'),
    });
    expect(readPasted('7\nx', teeth)).toMatchObject({ fault: expect.stringContaining('Line 2') });
  });

  it('one tooth has one width', () => {
    const widths = withCaliperWidth([{ tooth: 41, widthMm: 5 }], 41, 5.2);
    expect(widths).toEqual([{ tooth: 41, widthMm: 5.2 }]);
    expect(withCaliperWidth(widths, 41, null)).toEqual([]);
  });

  it('stands second; teeth without an entry are left out', () => {
    const data = dataOfCaliper(
      [
        [41, 5.5],
        [42, 6],
        [43, 7],
      ],
      [
        { tooth: 41, widthMm: 5.4 },
        { tooth: 43, widthMm: 7.2 },
      ],
    );
    const { study } = resultOf(data, STUDY_CONVENTIONS);
    expect(study.groups[0].figures.n).toBe(2);
    expect(study.groups[0].figures.bias).toBeCloseTo(-0.05, 12);
  });
});

describe('a table of several observers', () => {
  const text = `Zahn;Beobachter A;Beobachter B;Beobachter C\n${[
    [11, 8.5, 8.6, 8.4],
    [12, 6.7, 6.9, 6.8],
    [13, 7.8, 7.7, 7.9],
    [16, 10.4, 10.6, 10.3],
    [46, 11.1, null, 11.2],
  ]
    .map((row) => row.map((value) => (value === null ? '' : String(value).replace('.', ','))).join(';'))
    .join('\n')}\n`;
  const table = tableOf({ ...FIRST_TABLE, text })!;
  const chosen = { ...FIRST_TABLE, text, ...firstChoice(table) };
  const result = resultOf(dataOfTable(table, chosen), STUDY_CONVENTIONS);

  it('tooth numbers are no measurement, whatever their column is called', () => {
    expect(guessColumns(table)).toEqual({
      tooth: 'Zahn',
      measured: ['Beobachter A', 'Beobachter B', 'Beobachter C'],
      sds: [],
    });
    expect(chosen).toMatchObject({
      first: 'Beobachter A',
      second: 'Beobachter B',
      tooth: 'Zahn',
      by: BY_KIND,
    });
    expect(result.data.rows.map(({ label, by }) => [label, by])).toEqual([
      ['11', 'incisors'],
      ['12', 'incisors'],
      ['13', 'canines'],
      ['16', 'molars'],
      ['46', 'molars'],
    ]);
  });

  it('all columns are compared, a missing value left out of the whole rows alone', () => {
    if (!result.several || 'why' in result.several) throw new Error('no comparison of all');
    expect(result.several.ok).toMatchObject({ complete: 4, incomplete: 1, sameObserver: null });
    expect(result.several.ok.any.readings).toBe(14);
    expect(result.several.ok.deviations).toHaveLength(12);
    const fewer = dataOfTable(table, { ...chosen, leftOut: ['Beobachter C'] });
    expect(fewer.several).toBeNull();
  });

  it('three sentences say what came of it, and columns that hardly go together are doubted', () => {
    const lines = summaryOf(result);
    expect(lines[0]).toMatch(/^On average Beobachter A is 0\.100\u00a0mm below Beobachter B; 0 lies within/);
    expect(lines).toHaveLength(3);
    expect(doubtOf(result)).toBeNull();
    const rows = [1, 2, 3, 4, 5, 6].map((a, i) => ({ by: null, a, b: [3, 1, 6, 2, 5, 1][i], label: '' }));
    const data = { rows, names: ['a', 'b'] as const, unit: '', remarks: [], several: null };
    expect(doubtOf(resultOf(data, STUDY_CONVENTIONS))).toContain('right columns');
  });
});

describe('York’s line', () => {
  const { x, y, weightsX, weightsY } = PEARSON_YORK;
  const text = `x,x sd,y,y sd\n${x.map((value, i) => `${value},${weightsX[i] ** -0.5},${y[i]},${weightsY[i] ** -0.5}`).join('\n')}\n`;
  const table = tableOf({ ...FIRST_TABLE, text })!;
  const chosen = { ...FIRST_TABLE, text, ...firstChoice(table), unit: 'other' as const };

  it('is had where both columns have SDs: the published slope, intercept and χ²', () => {
    expect(chosen).toMatchObject({ first: 'x', second: 'y', sdFirst: 'x sd', sdSecond: 'y sd' });
    const result = resultOf(dataOfTable(table, chosen), STUDY_CONVENTIONS);
    const rows = figureRows(result.study.groups[0].figures, '', result.york);
    const value = (label: RegExp) => rows.find((row) => label.test(row.label))?.value;
    // York D, Can J Phys 1966;44:1079–1086: slope −0.4805, intercept 5.4799, χ² 11.87.
    expect(value(/^York slope/)).toBe('−0.4805');
    expect(value(/^York intercept/)).toBe('5.48');
    expect(value(/^York χ²/)).toBe('11.87');
    expect(methodsText(result, STUDY_CONVENTIONS, null)).toContain('York D, Can J Phys');
  });

  it('is not offered without SDs, and told where they are too few', () => {
    const none = resultOf(dataOfTable(table, { ...chosen, sdSecond: '' }), STUDY_CONVENTIONS);
    expect(none.york).toBeNull();
    const few = text.split('\n').map((line, i) => (i > 2 ? line.replace(/,[^,]*$/, ',') : line));
    const told = resultOf(
      dataOfTable(tableOf({ ...chosen, text: few.join('\n') })!, chosen),
      STUDY_CONVENTIONS,
    );
    expect(told.york).toMatchObject({ why: expect.stringContaining('too few pairs') });
  });
});

describe('what is shown', () => {
  const table = {
    ...useStudy.getState().table,
    text: 'a;b\n1,0;1,1\n2,0;2,0\n3,0;2,8\n;4\n',
    first: 'a',
    second: 'b',
  };
  const result = resultOf(dataOfTable(tableOf(table)!, table), STUDY_CONVENTIONS);

  it('every figure is a number or a dash with its reason', () => {
    for (const { label, value, ci, why } of figureRows(result.study.groups[0].figures, 'mm')) {
      expect(value, label).toMatch(/^(–|−?\d+\.\d+)$/);
      if (value === '–') expect(`${why}${ci}`, label).not.toBe('');
    }
  });

  it('the table for other programs has every digit and no NaN', () => {
    const { header, rows } = figuresTable(result.study.groups);
    expect(rows[0]).toHaveLength(header.length);
    expect(Number(rows[0][header.indexOf('bias')])).toBeCloseTo(1 / 30, 14);
    expect(JSON.stringify(rows)).not.toMatch(/NaN|Infinity|null/);
  });

  it('the methods say what was compared, left out and chosen', () => {
    const text = methodsText(result, { ...STUDY_CONVENTIONS, limitsFactor: '2' }, 0.2);
    expect(text).toContain(
      '3 pairs of a and b were compared in mm; 1 further row was left out for a missing value.',
    );
    expect(text).toContain('Limits of agreement: bias ± 2 SD');
    expect(text).toContain('Shrout PE, Fleiss JL');
    expect(text).not.toContain('undefined');
  });

  it('another unit is brought to mm', () => {
    const inches = dataOfTable(tableOf(table)!, { ...table, unit: 'in' });
    expect(inches.rows[0].a).toBeCloseTo(25.4, 12);
  });
});
