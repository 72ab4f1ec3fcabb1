import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type BatchPart, type CaseRecord, digestOf, readRecord } from '../../src/cli/batch/batchFiles.ts';
import { mergeParts } from '../../src/cli/batch/mergeParts.ts';
import { resultPaths } from '../../src/cli/batch/runCase.ts';
import { writeSummary } from '../../src/cli/batch/summary.ts';
import { Refusal } from '../../src/core/base/refusal.ts';
import { edited, edits, FUZZ_TIMEOUT_MS, fuzzRuns, Slowest, settledOrRefusal } from '../support/fuzz.ts';
import { refusalOf } from '../support/refusal.ts';

// Folders of a batch come from other machines and from runs that were stopped: what is damaged in them counts as not
// done, and nothing in them leads out of the folder.

const NAMES = ['arch-1', 'arch-2', 'arch-3'] as const;
const MEASUREMENT = '{"figures":"of arch-1"}\n';

const part: BatchPart = {
  schema: 'archledger/batch-part@1',
  manifest: { file: 'manifest.csv', sha256: digestOf('manifest') },
  part: [1, 1],
  cases: NAMES.map((name, i) => ({ name, line: i + 2, scan: `${name}.ply`, jaw: 'lower' })),
};

const record = (name: string, status: CaseRecord['status']): CaseRecord => ({
  schema: 'archledger/batch-record@1',
  case: name,
  inputs: digestOf(name),
  status,
  code: status === 'measured' ? null : 'not-an-arch',
  message: status === 'measured' ? null : 'findArchFrame: no arch; got none, need one. Look at it.',
  scanSha256: status === 'measured' ? digestOf('scan') : null,
  measurementSha256: status === 'measured' ? digestOf(MEASUREMENT) : null,
  figures:
    status === 'measured'
      ? {
          teeth: 14,
          warnings: 2,
          lineLengthMm: 66.1,
          irregularityMm: 3.2,
          availableMm: 66.1,
          requiredMm: 69.2,
          differenceMm: -3.1,
          sdMm: 0.7,
        }
      : null,
});

const json = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`;
const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

let root = '';
const folder = (name: string): string => join(root, name);

beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), 'archledger-batch-fuzz-'));
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

/** A folder of results with all three cases: measured, refused, failed. */
async function makeFolder(name: string): Promise<string> {
  const out = folder(name);
  rmSync(out, { recursive: true, force: true });
  for (const inner of ['records', 'measurements']) await mkdir(join(out, inner), { recursive: true });
  writeFileSync(join(out, 'batch.json'), json(part));
  for (const [i, status] of (['measured', 'refused', 'failed'] as const).entries())
    writeFileSync(resultPaths(out, NAMES[i]).record, json(record(NAMES[i], status)));
  writeFileSync(resultPaths(out, NAMES[0]).measurement, MEASUREMENT);
  return out;
}

const filesUnder = (path: string): readonly string[] =>
  readdirSync(path, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name));

describe('files of a batch', () => {
  it('damaged, count as not done; nothing is written elsewhere', { timeout: FUZZ_TIMEOUT_MS }, async () => {
    const slowest = new Slowest();
    const sources = [json(part), ...NAMES.map((name) => json(record(name, 'measured')))].map(bytesOf);
    await fc.assert(
      fc.asyncProperty(fc.nat(3), fc.nat(3), edits, async (which, other, changes) => {
        const from = await makeFolder('from');
        const out = folder('out');
        rmSync(out, { recursive: true, force: true });
        for (const inner of ['records', 'measurements']) await mkdir(join(out, inner), { recursive: true });
        const path = which === 0 ? join(from, 'batch.json') : resultPaths(from, NAMES[which - 1]).record;
        const damaged = edited(which === 0 ? sources[0] : readFileSync(path), changes, sources[other]);
        writeFileSync(path, damaged);
        const startMs = performance.now();
        const merged = await settledOrRefusal(() => mergeParts([from], out));
        slowest.note(startMs, !(merged instanceof Refusal));
        if (!(merged instanceof Refusal)) {
          const counts = await writeSummary(out, merged);
          expect(counts.measured + counts.refused + counts.failed + counts.notDone).toBe(counts.cases);
          expect(counts.cases).toBe(merged.cases.length);
        }
        for (const file of filesUnder(root))
          expect(file.startsWith(`${from}/`) || file.startsWith(`${out}/`)).toBe(true);
      }),
      fuzzRuns(80),
    );
    slowest.tell('files of a batch');
  });

  it('a name that leads out of the folder is no batch', async () => {
    for (const name of ['../../elsewhere', '/etc/arch', '..', '.hidden', 'a/b', 'a\\b', 'a\0b', '']) {
      const from = await makeFolder('from');
      writeFileSync(
        join(from, 'batch.json'),
        json({ ...part, cases: [{ name, line: 2, scan: 'a.ply', jaw: 'lower' }] }),
      );
      const refusal = await refusalOf(() => mergeParts([from], folder('out')));
      expect(refusal.code, name).toBe('file-access');
    }
  });

  it('a record that speaks of another case, or of a result it has not, does not count', async () => {
    const out = await makeFolder('from');
    const path = resultPaths(out, NAMES[0]).record;
    expect((await readRecord(path, NAMES[0]))?.status).toBe('measured');
    for (const wrong of [
      { case: NAMES[1] },
      { figures: null },
      { measurementSha256: null },
      { status: 'refused' },
      { status: 'refused', measurementSha256: null },
      { schema: 'archledger/batch-record@2' },
      { more: 1 },
    ]) {
      writeFileSync(path, json({ ...record(NAMES[0], 'measured'), ...wrong }));
      expect(await readRecord(path, NAMES[0]), JSON.stringify(wrong)).toBeNull();
    }
    const counts = await writeSummary(out, part);
    expect(counts).toEqual({ cases: 3, measured: 0, refused: 1, failed: 1, notDone: 1 });
  });
});
