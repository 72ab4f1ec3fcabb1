import Papa from 'papaparse';
import { Refusal } from '../../core/base/refusal.ts';
import { archPlace, isTooth, type Jaw, positionOf, type Tooth } from '../../core/base/tooth.ts';
import type { ArchRecord, CaliperWidth } from '../../core/casefile/CaseDocument.ts';
import type { Reading } from '../../core/marks/Mark.ts';
import { type ParseCsv, readTable, type TextTable } from '../../core/study/readTable.ts';
import { pairGroups, type Study, study } from '../../core/study/study.ts';
import { type PairRow, type StudyRemark, tablePairs } from '../../core/study/tablePairs.ts';
import { type YorkLine, yorkLine } from '../../core/study/york.ts';
import { readingName, readingWidths } from './readingWidths.ts';
import { type SeveralReadings, type SeveralResult, severalResult } from './severalReadings.ts';
import { BY_KIND, type StudyState, UNIT_SCALES } from './studyStore.ts';
import { comparedColumns } from './tableColumns.ts';

/** A pair from any source; the SDs are those of the two values, where the source knows them. */
export interface StudyRow extends Omit<PairRow, 'line'> {
  readonly label: string;
  readonly sdA?: number | null;
  readonly sdB?: number | null;
}

/** Pairs from any source, as the bench shows and reckons them. */
export interface StudyData {
  readonly rows: readonly StudyRow[];
  readonly names: readonly [string, string];
  readonly unit: string; // empty where it was not said
  readonly remarks: readonly StudyRemark[];
  /** More than two readings or columns, compared all together. */
  readonly several: SeveralReadings | null;
}

export interface YorkResult extends YorkLine {
  readonly n: number;
}

export interface StudyResult {
  readonly data: StudyData;
  readonly study: Study;
  readonly groups: ReturnType<typeof pairGroups>;
  readonly several: OrWhy<SeveralResult> | null;
  /** The line where each value has its own SD; null where no SDs are given. */
  readonly york: OrWhy<YorkResult> | null;
}

/** A thing or why it cannot be had, in words. */
export type OrWhy<T> = { readonly ok: T } | { readonly why: string };

export function orWhy<T>(work: () => T): OrWhy<T> {
  try {
    return { ok: work() };
  } catch (error) {
    if (error instanceof Refusal) return { why: error.message.replace(/^\w+: /, '') };
    throw error;
  }
}

export const tableOf = ({ text, delimiter }: StudyState['table']): TextTable | null =>
  text === null
    ? null
    : readTable(text, Papa.parse as unknown as ParseCsv, delimiter === null ? {} : { delimiter });

export function dataOfTable(table: TextTable, asked: StudyState['table']): StudyData {
  const scale = UNIT_SCALES[asked.unit];
  const grouping = asked.by === BY_KIND ? asked.tooth : asked.by;
  const { rows, remarks, decimal } = tablePairs(table, {
    columns: [asked.first, asked.second],
    by: grouping || undefined,
    decimal: asked.decimal ?? undefined,
    scale,
  });
  const toothAt = asked.tooth ? table.columns.indexOf(asked.tooth) : -1;
  const tooth = (i: number): string => (toothAt < 0 ? '' : table.rows[i].cells[toothAt].trim());
  const label = (i: number): string => tooth(i) || `line ${rows[i].line}`;
  const group = (by: string | null): string | null =>
    by === null || asked.by !== BY_KIND ? by : isTooth(Number(by)) ? toothKind(Number(by)) : null;
  const values = (column: string): readonly (number | null)[] =>
    tablePairs(table, { columns: [column, column], decimal, scale }).rows.map(({ a }) => a);
  const sdA = asked.sdFirst ? values(asked.sdFirst) : null;
  const sdB = asked.sdSecond ? values(asked.sdSecond) : null;
  const columns = comparedColumns(table, asked).filter((name) => !asked.leftOut.includes(name));
  const read = columns.length > 2 ? columns.map(values) : [];
  return {
    rows: rows.map(({ by, a, b }, i) => ({
      by: group(by),
      a,
      b,
      label: label(i),
      ...(sdA && sdB ? { sdA: sdA[i], sdB: sdB[i] } : {}),
    })),
    names: [asked.first, asked.second],
    unit: asked.unit === 'other' ? '' : 'mm',
    remarks,
    several:
      read.length === 0
        ? null
        : {
            readings: columns.map((name) => ({ name, observer: null })),
            subjects: rows.map((_, i) => ({ label: label(i), values: read.map((column) => column[i]) })),
          },
  };
}

const toothKind = (tooth: Tooth): string => {
  const position = positionOf(tooth);
  if (tooth >= 50) return position <= 2 ? 'incisors' : position === 3 ? 'canines' : 'molars';
  return position <= 2 ? 'incisors' : position === 3 ? 'canines' : position <= 5 ? 'premolars' : 'molars';
};

const JAWS: readonly Jaw[] = ['upper', 'lower'];

/** Widths measured on the case's scans, both arches, in the order of the chart. */
export function caseWidths(
  arches: Readonly<Record<Jaw, ArchRecord | null>>,
): readonly (readonly [Tooth, number])[] {
  return JAWS.flatMap((jaw) => {
    const record = arches[jaw];
    const reading = record?.readings[record.activeReading];
    const widths = reading ? [...readingWidths(reading)] : [];
    return widths.sort(([a], [b]) => archPlace(a) - archPlace(b));
  });
}

export const dataOfCaliper = (
  widths: readonly (readonly [Tooth, number])[],
  caliper: readonly CaliperWidth[],
): StudyData => ({
  rows: widths.map(([tooth, widthMm]) => ({
    by: toothKind(tooth),
    a: widthMm,
    b: caliper.find((entry) => entry.tooth === tooth)?.widthMm ?? null,
    label: String(tooth),
  })),
  names: ['scan', 'caliper'],
  unit: 'mm',
  remarks: [],
  several: null,
});

/** Two readings as pairs, and all but those left out together; a reading without a width takes no part in that. */
export function dataOfReadings(
  readings: readonly Reading[],
  [first, second]: readonly [number, number],
  leftOut: readonly number[] = [],
): StudyData {
  const widths = readings.map(readingWidths);
  const teeth = [...new Set([...widths[first].keys(), ...widths[second].keys()])].sort(
    (a, b) => archPlace(a) - archPlace(b),
  );
  const together = readings.flatMap((_, i) => (widths[i].size > 0 && !leftOut.includes(i) ? [i] : []));
  const allTeeth = [...new Set(together.flatMap((i) => [...widths[i].keys()]))].sort(
    (a, b) => archPlace(a) - archPlace(b),
  );
  return {
    rows: teeth.map((tooth) => ({
      by: toothKind(tooth),
      a: widths[first].get(tooth) ?? null,
      b: widths[second].get(tooth) ?? null,
      label: String(tooth),
    })),
    names: [readingName(readings[first]), readingName(readings[second])],
    unit: 'mm',
    remarks: [],
    several:
      together.length < 3
        ? null
        : {
            readings: together.map((i) => ({
              name: readingName(readings[i]),
              observer: readings[i].observer,
            })),
            subjects: allTeeth.map((tooth) => ({
              label: String(tooth),
              values: together.map((i) => widths[i].get(tooth) ?? null),
            })),
          },
  };
}

export function resultOf(data: StudyData, conventions: StudyState['conventions']): StudyResult {
  const { several } = data;
  return {
    data,
    study: study(data.rows, conventions),
    groups: pairGroups(data.rows),
    several: several && orWhy(() => severalResult(several)),
    york: data.rows.some(({ sdA }) => sdA !== undefined) ? orWhy(() => yorkOf(data.rows)) : null,
  };
}

/** York's line through the pairs whose two values both have an SD above 0. */
function yorkOf(rows: readonly StudyRow[]): YorkResult {
  const whole = rows.flatMap(({ a, b, sdA, sdB }) =>
    a !== null && b !== null && sdA && sdB ? [{ a, b, wA: 1 / sdA ** 2, wB: 1 / sdB ** 2 }] : [],
  );
  const column = (key: 'a' | 'b' | 'wA' | 'wB') => whole.map((row) => row[key]);
  return { ...yorkLine(column('a'), column('b'), column('wA'), column('wB')), n: whole.length };
}
