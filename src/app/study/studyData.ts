import Papa from 'papaparse';
import { Refusal } from '../../core/base/refusal.ts';
import { archPlace, type Jaw, positionOf, type Tooth } from '../../core/base/tooth.ts';
import { distance } from '../../core/base/Vec3.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { Reading } from '../../core/marks/Mark.ts';
import { type Intraclass, intraclass } from '../../core/study/intraclass.ts';
import { type ParseCsv, readTable, type TextTable } from '../../core/study/readTable.ts';
import { pairGroups, type Study, study } from '../../core/study/study.ts';
import { type PairRow, type StudyRemark, tablePairs } from '../../core/study/tablePairs.ts';
import { type StudyState, UNIT_SCALES } from './studyStore.ts';

/** Pairs from any source, as the bench shows and reckons them. */
export interface StudyData {
  readonly rows: readonly (Omit<PairRow, 'line'> & { readonly label: string })[];
  readonly names: readonly [string, string];
  readonly unit: string; // empty where it was not said
  readonly remarks: readonly StudyRemark[];
  /** Agreement of more than two readings, where there are more. */
  readonly allReadings: Intraclass | null;
}

export interface StudyResult {
  readonly data: StudyData;
  readonly study: Study;
  readonly groups: ReturnType<typeof pairGroups>;
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
  const { rows, remarks } = tablePairs(table, {
    columns: [asked.first, asked.second],
    by: asked.by || undefined,
    decimal: asked.decimal ?? undefined,
    scale: UNIT_SCALES[asked.unit],
  });
  return {
    rows: rows.map(({ by, a, b, line }) => ({ by, a, b, label: `line ${line}` })),
    names: [asked.first, asked.second],
    unit: asked.unit === 'other' ? '' : 'mm',
    remarks,
    allReadings: null,
  };
}

/** Widths of a reading between its two contact points, by tooth. */
export function readingWidths({ marks }: Reading): ReadonlyMap<Tooth, number> {
  const point = (tooth: Tooth, site: string) =>
    marks.find((mark) => mark.tooth === tooth && mark.site === site)?.pointMm;
  const widths = new Map<Tooth, number>();
  for (const { tooth, site, pointMm } of marks) {
    const distal = site === 'mesial' ? point(tooth, 'distal') : undefined;
    if (distal) widths.set(tooth, distance(pointMm, distal));
  }
  return widths;
}

export const toothKind = (tooth: Tooth): string => {
  const position = positionOf(tooth);
  if (tooth >= 50) return position <= 2 ? 'incisors' : position === 3 ? 'canines' : 'molars';
  return position <= 2 ? 'incisors' : position === 3 ? 'canines' : position <= 5 ? 'premolars' : 'molars';
};

/** A number typed with point or comma; null where nothing or nonsense stands. */
export function typedNumber(text: string): number | null {
  const clean = text.trim().replace(',', '.');
  return /^\d{1,3}(\.\d*)?$/.test(clean) && Number(clean) > 0 ? Number(clean) : null;
}

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
  typed: StudyState['caliper'],
): StudyData => ({
  rows: widths.map(([tooth, widthMm]) => ({
    by: toothKind(tooth),
    a: widthMm,
    b: typedNumber(typed[tooth] ?? ''),
    label: String(tooth),
  })),
  names: ['scan', 'caliper'],
  unit: 'mm',
  remarks: [],
  allReadings: null,
});

export const readingName = ({ observer, repeat }: Reading): string =>
  `${observer || 'not named'}, reading ${repeat}`;

export function dataOfReadings(
  readings: readonly Reading[],
  [first, second]: readonly [number, number],
): StudyData {
  const widths = readings.map(readingWidths);
  const teeth = [...new Set([...widths[first].keys(), ...widths[second].keys()])];
  const inAll = teeth.filter((tooth) => widths.every((of) => of.has(tooth)));
  const whole = orWhy(() => intraclass(inAll.map((tooth) => widths.map((of) => of.get(tooth)!))));
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
    allReadings: readings.length > 2 && 'ok' in whole ? whole.ok : null,
  };
}

export function resultOf(data: StudyData, conventions: StudyState['conventions']): StudyResult {
  return { data, study: study(data.rows, conventions), groups: pairGroups(data.rows) };
}
