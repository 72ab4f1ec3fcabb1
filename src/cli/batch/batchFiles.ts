import { createHash } from 'node:crypto';
import { open, readFile, rename, rm } from 'node:fs/promises';
import { z } from 'zod';
import { Refusal } from '../../core/base/refusal.ts';
import { sha256 } from '../../core/casefile/fields.ts';
import { parsedJson } from '../../core/casefile/readDocument.ts';

const text = z.string();
const figure = z.number().nullable();

/** What became of one case. `refused`: the user's data; `failed`: a fault of the program, tried again on resuming. */
export const caseRecordSchema = z
  .strictObject({
    schema: z.literal('archledger/batch-record@1'),
    case: text,
    inputs: sha256.nullable(), // of scan, marks and settings; null where a file could not be read
    status: z.enum(['measured', 'refused', 'failed']),
    code: text.nullable(),
    message: text.nullable(),
    scanSha256: sha256.nullable(),
    measurementSha256: sha256.nullable(), // of the bytes of its measurement file
    figures: z
      .strictObject({
        teeth: z.int().min(0),
        warnings: z.int().min(0),
        lineLengthMm: figure,
        irregularityMm: figure,
        availableMm: figure,
        requiredMm: figure,
        differenceMm: figure,
        sdMm: figure,
      })
      .nullable(),
  })
  .refine(({ status, measurementSha256, figures, code, message }) =>
    status === 'measured'
      ? measurementSha256 !== null && figures !== null
      : measurementSha256 === null && code !== null && message !== null,
  );
export type CaseRecord = z.infer<typeof caseRecordSchema>;

/** A case's name becomes a file's: nothing in it leads out of the folder. As readManifest makes them. */
const CASE_NAME = /^(?!\.)[\p{L}\p{N}._-]{1,240}$/u;

/** What a folder of results belongs to: written before the first case, so that a stopped batch can be merged too. */
export const partSchema = z.strictObject({
  schema: z.literal('archledger/batch-part@1'),
  manifest: z.strictObject({ file: text, sha256 }),
  part: z.tuple([z.int().min(1), z.int().min(1)]).refine(([index, of]) => index <= of), // I of N
  cases: z // of the whole manifest
    .array(z.strictObject({ name: text.regex(CASE_NAME), line: z.int(), scan: text, jaw: text }))
    .refine((cases) => new Set(cases.map(({ name }) => name)).size === cases.length),
});
export type BatchPart = z.infer<typeof partSchema>;

export const tagOf = ([index, of]: readonly [number, number]): string =>
  of === 1 ? '' : `-${index}-of-${of}`;

export const digestOf = (bytes: Uint8Array | string): string =>
  createHash('sha256').update(bytes).digest('hex');

/**
 * Writes a file so that it is there whole or not at all, whatever stops the program.
 * Refuses: 'file-access'.
 */
export async function writeWhole(path: string, content: string): Promise<void> {
  const unfinished = `${path}.unfinished`;
  try {
    const file = await open(unfinished, 'w');
    try {
      await file.writeFile(content);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(unfinished, path);
  } catch (error) {
    await rm(unfinished, { force: true }).catch(() => {});
    throw new Refusal(
      'file-access',
      `writeWhole: the result cannot be written; got ${(error as Error).message}, need a folder with room that can be written. Free space or choose another --out.`,
      { path },
    );
  }
}

/** A JSON file of a batch, or null where it is absent, damaged or of another kind. */
export async function readWhole<T>(path: string, schema: z.ZodType<T>): Promise<T | null> {
  try {
    const result = schema.safeParse(parsedJson(await readFile(path, 'utf8'), 'batch'));
    return result.success ? result.data : null;
  } catch {
    return null;
  }
}

/** The record of a case, or null where it is absent, damaged or of another case: the case is then not done. */
export async function readRecord(path: string, name: string): Promise<CaseRecord | null> {
  const record = await readWhole(path, caseRecordSchema);
  return record?.case === name ? record : null;
}

/** The bytes of a file, or null where it cannot be read. */
export const bytesOrNull = (path: string): Promise<Uint8Array | null> => readFile(path).catch(() => null);
