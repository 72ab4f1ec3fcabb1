import { describe, expect, it } from 'vitest';
import { readPasted } from '../../../src/app/study/CaliperSource.tsx';
import { figureRows, figuresTable } from '../../../src/app/study/figureRows.ts';
import { methodsText } from '../../../src/app/study/methodsText.ts';
import {
  dataOfCaliper,
  dataOfReadings,
  dataOfTable,
  readingWidths,
  resultOf,
  tableOf,
  typedNumber,
} from '../../../src/app/study/studyData.ts';
import { useStudy } from '../../../src/app/study/studyStore.ts';
import type { PlacedMark, Reading } from '../../../src/core/marks/Mark.ts';
import { STUDY_CONVENTIONS } from '../../../src/core/study/Conventions.ts';

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
      ['41', 5.5, 5.6, 'incisors'],
      ['42', 6, 5.9, 'incisors'],
      ['43', 7, 7.1, 'canines'],
      ['44', null, 7.2, 'premolars'],
    ]);
  });

  it('a width needs both its points', () => {
    expect([...readingWidths({ ...first, marks: first.marks.slice(0, 3) })]).toEqual([[41, 5.5]]);
  });

  it('three readings have an agreement of all', () => {
    expect(dataOfReadings([first, second], [0, 1]).allReadings).toBeNull();
    expect(dataOfReadings([first, second, third], [0, 1]).allReadings).toMatchObject({
      subjects: 3,
      raters: 3,
    });
  });
});

describe('caliper', () => {
  it('reads points and commas, and takes nothing from nonsense', () => {
    expect(['5.5', ' 5,5 ', '12.', '', 'x', '-5', '0', '5.5.5', '1e3'].map(typedNumber)).toEqual([
      5.5,
      5.5,
      12,
      null,
      null,
      null,
      null,
      null,
      null,
    ]);
  });

  it('pasted lines are all taken or none', () => {
    expect(readPasted('41 5.5\n\n42;6,4\r\n31,\t5.6 mm')).toEqual({
      widths: { 41: '5.5', 42: '6,4', 31: '5.6' },
    });
    for (const line of ['49 5.5', '41', '41 wide', '4 5.5', '41 0'])
      expect(readPasted(`31 5.5\n${line}`)).toMatchObject({ fault: expect.stringContaining('Line 2') });
  });

  it('stands second; teeth without an entry are left out', () => {
    const data = dataOfCaliper(
      [
        [41, 5.5],
        [42, 6],
        [43, 7],
      ],
      { 41: '5,4', 43: '7.2' },
    );
    const { study } = resultOf(data, STUDY_CONVENTIONS);
    expect(study.groups[0].figures.n).toBe(2);
    expect(study.groups[0].figures.bias).toBeCloseTo(-0.05, 12);
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
