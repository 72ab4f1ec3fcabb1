import { join } from 'node:path';
import { Refusal } from '../../core/base/refusal.ts';
import { documentJson } from '../../core/casefile/documentJson.ts';
import type { MeasurementFile } from '../../core/casefile/measurementSchema.ts';
import { readDocument } from '../../core/casefile/readDocument.ts';
import { openScan } from '../../core/scan/openScan.ts';
import { measureScan } from '../measureScan.ts';
import { fileBytes } from '../readFile.ts';
import type { BatchCase } from './BatchCase.ts';
import { bytesOrNull, type CaseRecord, digestOf, readRecord, writeWhole } from './batchFiles.ts';

export interface CaseRun {
  readonly record: CaseRecord;
  readonly kept: boolean; // its results were there already, of the same inputs, and whole
}

/**
 * Measures one case into `out`, unless its results are there, whole and of the same scan, marks and settings. Whatever
 * is wrong with the case becomes its record.
 *
 * Refuses:  'file-access' where the results cannot be written; nothing else.
 */
export async function runCase(one: BatchCase, out: string, program: string): Promise<CaseRun> {
  const paths = resultPaths(out, one.name);
  const inputs = await inputsOf(one, program);
  const before = await readRecord(paths.record, one.name);
  if (before && inputs && (await isStillGood(before, inputs, paths.measurement)))
    return { record: before, kept: true };
  const record = await measured(one, inputs, paths.measurement);
  await writeWhole(paths.record, `${JSON.stringify(record, null, 2)}\n`);
  return { record, kept: false };
}

export const resultPaths = (out: string, name: string) => ({
  record: join(out, 'records', `${name}.json`),
  measurement: join(out, 'measurements', `${name}.json`),
});

/** True where a record answers these inputs and its measurement is as it was written. */
async function isStillGood(record: CaseRecord, inputs: string, measurementPath: string): Promise<boolean> {
  if (record.status === 'failed' || record.inputs !== inputs) return false;
  if (record.measurementSha256 === null) return record.status === 'refused';
  const bytes = await bytesOrNull(measurementPath);
  return bytes !== null && digestOf(bytes) === record.measurementSha256;
}

/** Checksum of all a result depends on; null where a file cannot be read. */
async function inputsOf({ scanPath, asked, fault }: BatchCase, program: string): Promise<string | null> {
  if (!asked) return digestOf(JSON.stringify({ program, fault }));
  const scan = await bytesOrNull(scanPath);
  const marks = asked.marksPath === null ? null : await bytesOrNull(asked.marksPath);
  if (!scan || (asked.marksPath !== null && !marks)) return null;
  const { jaw, unit, missing, primary, range } = asked;
  return digestOf(
    JSON.stringify({
      program,
      jaw,
      unit,
      missing,
      primary,
      range,
      scan: digestOf(scan),
      marks: marks && digestOf(marks),
    }),
  );
}

async function measured(one: BatchCase, inputs: string | null, path: string): Promise<CaseRecord> {
  const base = { schema: 'archledger/batch-record@1', case: one.name, inputs } as const;
  const none = { scanSha256: null, measurementSha256: null, figures: null };
  if (!one.asked)
    return { ...base, ...none, status: 'refused', code: one.fault!.code, message: one.fault!.message };
  let file: MeasurementFile;
  try {
    const { jaw, unit, missing, primary, range, marksPath } = one.asked;
    const marks =
      marksPath === null
        ? null
        : readDocument(
            new TextDecoder('utf-8', { ignoreBOM: true }).decode(await fileBytes(marksPath)),
            'marks',
          );
    const scan = await openScan(await fileBytes(one.scanPath), one.scan, { unit });
    file = measureScan(scan, { jaw, missing, primary, range, marks });
  } catch (error) {
    const isRefusal = error instanceof Refusal;
    return {
      ...base,
      ...none,
      status: isRefusal ? 'refused' : 'failed',
      code: isRefusal ? error.code : 'fault',
      message: error instanceof Error ? error.message : String(error),
    };
  }
  const content = documentJson(file, 'measurement');
  await writeWhole(path, content);
  return {
    ...base,
    status: 'measured',
    code: null,
    message: null,
    scanSha256: file.scan.sha256,
    measurementSha256: digestOf(content),
    figures: {
      teeth: file.teeth.length,
      warnings: file.warnings.length,
      lineLengthMm: file.arch.lineLengthMm,
      irregularityMm: file.arch.irregularityMm,
      availableMm: file.space.availableMm,
      requiredMm: file.space.requiredMm,
      differenceMm: file.space.differenceMm,
      sdMm: file.space.sdMm,
    },
  };
}
