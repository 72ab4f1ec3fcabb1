import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Papa from 'papaparse';
import { expect, it } from 'vitest';
import { writeSummary } from '../../src/cli/batch/summary.ts';

it('names that a spreadsheet would run are disarmed in the summary of a batch', async () => {
  const out = mkdtempSync(join(tmpdir(), 'archledger-summary-'));
  try {
    const counts = await writeSummary(out, {
      schema: 'archledger/batch-part@1',
      manifest: { file: '=manifest.csv', sha256: '0'.repeat(64) },
      part: [1, 1],
      cases: [{ name: '_x', line: 2, scan: '=HYPERLINK("http://a","b").stl', jaw: '@lower' }],
    });
    expect(counts).toMatchObject({ cases: 1, notDone: 1 });
    const text = readFileSync(join(out, 'summary.csv'), 'utf8').slice(1);
    const [, row] = Papa.parse<string[]>(text.trim()).data;
    expect(row.slice(0, 5)).toEqual(['_x', '2', `'=HYPERLINK("http://a","b").stl`, "'@lower", 'not-done']);
  } finally {
    rmSync(out, { recursive: true, force: true });
  }
});
