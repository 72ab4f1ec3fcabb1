import { join } from 'node:path';
import Papa from 'papaparse';
import { FORMULA_START } from '../../core/base/formulaStart.ts';
import { type BatchPart, type CaseRecord, readRecord, tagOf, writeWhole } from './batchFiles.ts';
import { resultPaths } from './runCase.ts';

export interface BatchCounts {
  readonly cases: number;
  readonly measured: number;
  readonly refused: number;
  readonly failed: number;
  readonly notDone: number;
}

const FIGURES = [
  'teeth',
  'lineLengthMm',
  'irregularityMm',
  'availableMm',
  'requiredMm',
  'differenceMm',
  'sdMm',
  'warnings',
] as const;

/** The cases of a manifest that fall to a part: every N-th, so that parts are alike in size and kind. */
export const casesOfPart = <T>(cases: readonly T[], [index, of]: readonly [number, number]): readonly T[] =>
  cases.filter((_, i) => i % of === index - 1);

/** Writes summary.json and summary.csv of a part from the records in its folder; gives the counts. */
export async function writeSummary(out: string, { manifest, part, cases }: BatchPart): Promise<BatchCounts> {
  const rows: { one: BatchPart['cases'][number]; record: CaseRecord | null }[] = [];
  for (const one of casesOfPart(cases, part))
    rows.push({ one, record: await readRecord(resultPaths(out, one.name).record, one.name) });
  const having = (status: CaseRecord['status']): number =>
    rows.filter(({ record }) => record?.status === status).length;
  const counts: BatchCounts = {
    cases: rows.length,
    measured: having('measured'),
    refused: having('refused'),
    failed: having('failed'),
    notDone: rows.filter(({ record }) => record === null).length,
  };
  const summary = {
    schema: 'archledger/batch-summary@1',
    manifest,
    part,
    counts,
    cases: rows.map(({ one, record }) => ({
      case: one.name,
      line: one.line,
      scan: one.scan,
      jaw: one.jaw,
      status: record?.status ?? 'not-done',
      code: record?.code ?? null,
      message: record?.message ?? null,
      scanSha256: record?.scanSha256 ?? null,
      measurement: record?.measurementSha256 ? `measurements/${one.name}.json` : null,
      figures: record?.figures ?? null,
    })),
  };
  const header = ['case', 'line', 'scan', 'jaw', 'status', ...FIGURES, 'scanSha256', 'code', 'message'];
  const table = summary.cases.map((row) => [
    row.case,
    row.line,
    row.scan,
    row.jaw,
    row.status,
    ...FIGURES.map((figure) => row.figures?.[figure] ?? ''),
    row.scanSha256 ?? '',
    row.code ?? '',
    row.message ?? '',
  ]);
  const csv = Papa.unparse(
    { fields: header, data: table },
    { escapeFormulae: FORMULA_START, newline: '\r\n' },
  );
  await writeWhole(join(out, `summary${tagOf(part)}.csv`), `\uFEFF${csv}\r\n`);
  await writeWhole(join(out, `summary${tagOf(part)}.json`), `${JSON.stringify(summary, null, 2)}\n`);
  return counts;
}
