import { mkdir } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Refusal } from '../core/base/refusal.ts';
import { type BatchPart, type CaseRecord, digestOf, tagOf, writeWhole } from './batch/batchFiles.ts';
import { mergeParts } from './batch/mergeParts.ts';
import { programStamp } from './batch/programStamp.ts';
import { progressBar } from './batch/progressBar.ts';
import { readManifest } from './batch/readManifest.ts';
import { resultPaths } from './batch/runCase.ts';
import { casesOfPart, writeSummary } from './batch/summary.ts';
import { runOnThreads } from './batch/workerPool.ts';
import { type Command, UsageError } from './Command.ts';
import { commandWords } from './commandWords.ts';
import { fileBytes } from './readFile.ts';

const OPTIONS = {
  out: { type: 'string' },
  jobs: { type: 'string' },
  part: { type: 'string' },
  merge: { type: 'boolean' },
} as const;

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
/** The code whose results are measured anew when it changed. */
const MEASURES = 'src/cli/batch/runCase.ts';

/**
 * `batch MANIFEST.csv --out DIR [--jobs N] [--part I/N]`: measures every scan of a manifest into DIR, a part of them on
 * each of several machines; `batch --merge DIR… --out DIR` brings parts together. Gives counts and where the summary is.
 *
 * Refuses:  as `readManifest`, `mergeParts`; 'file-access' where DIR cannot be written. A scan that is refused is a
 *           result, told in the summary.
 */
export const batchCommand: Command = async (words, io) => {
  const isMerge = words.includes('--merge');
  const { values, positionals } = commandWords(words, OPTIONS, isMerge ? ['DIR', '…'] : ['MANIFEST.csv']);
  if (!values.out) throw new UsageError('--out DIR is missing');
  const out = values.out;
  await makeFolders(out);
  if (isMerge) {
    if (values.jobs !== undefined || values.part !== undefined)
      throw new UsageError('--merge takes neither --jobs nor --part');
    const whole = await mergeParts(positionals, out);
    const counts = await writeSummary(out, whole);
    if (counts.notDone > 0) io.warn(`${counts.notDone} of ${counts.cases} cases are in none of the folders.`);
    return { summary: join(out, 'summary.csv'), counts };
  }

  const jobs = wholeNumber('--jobs', values.jobs ?? String(availableParallelism()), 64);
  const part = partOf(values.part);
  const manifest = await fileBytes(positionals[0]);
  const all = readManifest(manifest, dirname(resolve(positionals[0])));
  const mine = casesOfPart(all, part);
  const head: BatchPart = {
    schema: 'archledger/batch-part@1',
    manifest: { file: basename(positionals[0]), sha256: digestOf(manifest) },
    part: [...part],
    cases: all.map(({ name, line, scan, jaw }) => ({ name, line, scan, jaw })),
  };
  await writeWhole(join(out, `batch${tagOf(part)}.json`), `${JSON.stringify(head, null, 2)}\n`);

  const program = await programStamp(ROOT, MEASURES);
  const bar = progressBar(mine.length);
  try {
    await runOnThreads(mine, { jobs, out, program }, async (one, outcome) => {
      if ('died' in outcome) {
        await writeWhole(
          resultPaths(out, one.name).record,
          `${JSON.stringify(died(one.name, outcome.died), null, 2)}\n`,
        );
        bar.add('failed');
      } else bar.add(outcome.kept ? 'kept' : outcome.record.status);
    });
  } finally {
    bar.end();
  }
  const counts = await writeSummary(out, head);
  const summary = join(out, `summary${tagOf(part)}.csv`);
  if (counts.refused + counts.failed > 0)
    io.warn(`${counts.refused} of ${counts.cases} cases refused, ${counts.failed} failed; see ${summary}.`);
  return { summary, counts, kept: bar.counts.kept };
};

async function makeFolders(out: string): Promise<void> {
  try {
    await mkdir(join(out, 'records'), { recursive: true });
    await mkdir(join(out, 'measurements'), { recursive: true });
  } catch (error) {
    throw new Refusal(
      'file-access',
      `batchCommand: the folder cannot be made; got ${(error as Error).message}, need a place that can be written. Choose another --out.`,
      { path: out },
    );
  }
}

function wholeNumber(option: string, text: string, most: number): number {
  const value = /^\d{1,6}$/.test(text) ? Number(text) : 0;
  if (value < 1 || value > most)
    throw new UsageError(`${option} is "${text}", need a whole number from 1 to ${most}`);
  return value;
}

function partOf(text: string | undefined): readonly [number, number] {
  if (text === undefined) return [1, 1];
  const [, index, of] = /^(\d{1,6})\/(\d{1,6})$/.exec(text) ?? [];
  if (index === undefined || Number(index) < 1 || Number(index) > Number(of))
    throw new UsageError(`--part is "${text}", need I/N, as in 1/4`);
  return [Number(index), Number(of)];
}

const died = (name: string, of: string): CaseRecord => ({
  schema: 'archledger/batch-record@1',
  case: name,
  inputs: null,
  status: 'failed',
  code: 'worker-died',
  message: `runOnThreads: the thread that measured this case ended; got ${of}, need it to finish. Run the batch again.`,
  scanSha256: null,
  measurementSha256: null,
  figures: null,
});
