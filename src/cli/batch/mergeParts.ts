import { readdir, readFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { Refusal } from '../../core/base/refusal.ts';
import {
  type BatchPart,
  bytesOrNull,
  type CaseRecord,
  digestOf,
  partSchema,
  readRecord,
  readWhole,
  writeWhole,
} from './batchFiles.ts';
import { resultPaths } from './runCase.ts';

/**
 * Brings the results of several folders into `out` as one whole batch; a case that no folder has done stays not done,
 * and a measurement that is not as it was written does not count.
 *
 * Refuses:  'file-access' (a folder that holds no batch), 'batch-mixed' (folders of different manifests, or two
 *           results of one case that differ).
 */
export async function mergeParts(folders: readonly string[], out: string): Promise<BatchPart> {
  let whole: BatchPart | null = null;
  for (const folder of folders) {
    const parts = await partsIn(folder);
    for (const part of parts) {
      if (whole && whole.manifest.sha256 !== part.manifest.sha256)
        throw new Refusal(
          'batch-mixed',
          `mergeParts: the folders belong to different batches; got ${folder} of another manifest than ${folders[0]}, need parts of one. Name the right folders.`,
          { folder },
        );
      whole ??= { ...part, part: [1, 1] };
    }
  }
  if (!whole) throw new Error('mergeParts: no folder was named.');
  for (const { name } of whole.cases) await bring(name, folders, out);
  await writeWhole(join(out, 'batch.json'), `${JSON.stringify(whole, null, 2)}\n`);
  return whole;
}

async function partsIn(folder: string): Promise<readonly BatchPart[]> {
  const names = await readdir(folder).catch(() => []);
  const read = await Promise.all(
    names
      .filter((name) => /^batch.*\.json$/.test(name))
      .map((name) => readWhole(join(folder, name), partSchema)),
  );
  const parts = read.filter((part) => part !== null);
  if (parts.length === 0)
    throw new Refusal(
      'file-access',
      `mergeParts: the folder holds no batch; got ${folder}, need the --out of a batch. Correct the name.`,
      { folder },
    );
  return parts;
}

/** Copies the results of one case; those measured before those refused, those refused before those failed. */
async function bring(name: string, folders: readonly string[], out: string): Promise<void> {
  const found: { record: CaseRecord; folder: string }[] = [];
  for (const folder of folders) {
    const paths = resultPaths(folder, name);
    const record = await readRecord(paths.record, name);
    if (!record) continue;
    const bytes = record.measurementSha256 === null ? null : await bytesOrNull(paths.measurement);
    if (record.measurementSha256 !== null && (!bytes || digestOf(bytes) !== record.measurementSha256))
      continue;
    found.push({ record, folder });
  }
  const done = found.filter(({ record }) => record.status === 'measured');
  const [first, ...others] = done;
  const other = others.find(({ record }) => record.measurementSha256 !== first.record.measurementSha256);
  if (other)
    throw new Refusal(
      'batch-mixed',
      `mergeParts: a case has two results that differ; got ${name} in ${first.folder} and ${other.folder}, need one. Remove the one that is out of date.`,
      { name },
    );
  const best = first ?? found.find(({ record }) => record.status === 'refused') ?? found[0];
  if (!best || resolve(best.folder) === resolve(out)) return;
  const [from, to] = [resultPaths(best.folder, name), resultPaths(out, name)];
  if (best.record.measurementSha256 !== null)
    await writeWhole(to.measurement, await readFile(from.measurement, 'utf8'));
  await writeWhole(to.record, await readFile(from.record, 'utf8'));
}
