import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { type AccuracyRow, errorRow } from './AccuracyRow.ts';
import { accuracyTable, tableIn, withTable } from './table.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const readme = readFileSync(join(ROOT, 'README.md'), 'utf8');
const results: Record<string, readonly AccuracyRow[]> = JSON.parse(
  readFileSync(join(ROOT, 'tests/accuracy/results.json'), 'utf8'),
);
const rows = Object.values(results).flat();

describe('accuracy table of README', () => {
  it('is the one the last run wrote', () => {
    expect(tableIn(readme)).toBe(accuracyTable(rows));
    expect(withTable(readme, rows)).toBe(readme);
  });

  it('every part has its rows, every row is within its bound', () => {
    for (const [name, part] of Object.entries(results)) expect(part.length, name).toBeGreaterThan(0);
    expect(rows.filter(({ holds }) => !holds).map(({ what, on }) => `${what}: ${on}`)).toEqual([]);
  });

  it('every row names a test that exists and says on what it was measured', () => {
    for (const row of rows) {
      expect(existsSync(join(ROOT, row.test)), row.test).toBe(true);
      expect(row.n, row.what).toBeGreaterThan(0);
      expect(row.on).not.toBe('');
    }
  });
});

describe('rows', () => {
  const row = (errors: readonly number[]): AccuracyRow =>
    errorRow({ what: 'x', surface: 'none', on: 'y', errors, rmsBound: 0.1, worstBound: 0.2, test: 'z' });

  it('gives RMS and worst, and tells what is beyond a bound', () => {
    expect(row([0.03, -0.04])).toMatchObject({ n: 2, typical: '0.04 mm', worst: '0.04 mm', holds: true });
    expect(row([0.03, -0.21]).holds).toBe(false);
    expect(row([0.15, 0.15]).holds).toBe(false);
    expect(row([2e-7, -1e-7]).worst).toBe('< 1e-6 mm');
    expect(accuracyTable([row([0.15, 0.15])])).toContain('not held');
  });

  it('makes no row of figures that could not be had', () => {
    expect(() => row([0.1, Number.NaN])).toThrow('not all of them numbers');
    expect(() => row([])).toThrow('0 errors');
  });
});
