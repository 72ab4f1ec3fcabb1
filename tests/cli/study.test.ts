import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { PEAK_FLOW } from '../support/publishedPairs.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const TSX = join(ROOT, 'node_modules', 'tsx', 'dist', 'cli.mjs');

let folder = '';
const at = (name: string): string => join(folder, name);

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'archledger-study-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function study(...words: string[]) {
  const run = spawnSync(process.execPath, [TSX, 'src/cli/main.ts', 'study', ...words], {
    cwd: ROOT,
    encoding: 'utf8',
    timeout: 60_000,
  });
  return { code: run.status, stdout: run.stdout, stderr: run.stderr };
}

const { wright1, mini1 } = PEAK_FLOW;

describe('study', () => {
  it('gives study@1 with the published figures of the peak flow data (Bland JM, Altman DG 1986)', () => {
    const rows = wright1.map((value, i) => `${value},${i % 2 ? 'odd' : 'even'},${mini1[i]}`);
    writeFileSync(at('peak.csv'), `\uFEFFwright,row,"mini"\r\n${rows.join('\r\n')}\r\n`);
    const { code, stdout, stderr } = study(at('peak.csv'), '--columns', 'wright,mini', '--by', 'row');
    expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
    const { groups } = readDocument(stdout, 'study');
    expect(groups.map(({ by, n }) => [by, n])).toEqual([
      [null, 17],
      ['even', 9],
      ['odd', 8],
    ]);
    const [all] = groups;
    expect(all.bias).toBeCloseTo(-2.1176470588, 10);
    expect(all.sd).toBeCloseTo(38.7651298736, 10);
    expect(all.limitsOfAgreement![0]).toBeCloseTo(-78.0973, 4);
    expect(all.biasCi![1]).toBeCloseTo(17.8135, 4);
    expect(all.pearson).toBeCloseTo(0.943279447, 9);
    expect(all.linCcc).toBeCloseTo(0.942742431, 9);
    expect(all.icc.single2.value).toBeCloseTo(0.945928, 6);
    expect(all.deming.slope).toBeCloseTo(0.9708808198, 10);
    expect(all.pairedT.df).toBe(16);
  });

  it('reads a table of semicolons and decimal commas; what is missing is counted on stderr', () => {
    writeFileSync(
      at('teeth.csv'),
      'tooth;caliper;scan\n11;8,52;8,44\n12;6,61;6,70\n13;;7,9\n11;8,31;NA\n21;8,60;8,49\n',
    );
    const { code, stdout, stderr } = study(at('teeth.csv'), '--columns', 'caliper,scan', '--by=tooth');
    expect(code).toBe(0);
    const { groups } = readDocument(stdout, 'study');
    expect(groups.map(({ by, n }) => [by, n])).toEqual([
      [null, 3],
      ['11', 1],
      ['12', 1],
      ['13', 0],
      ['21', 1],
    ]);
    expect(groups[0].bias).toBeCloseTo((0.08 - 0.09 + 0.11) / 3, 12);
    expect(groups[3]).toMatchObject({ bias: null, pearson: null, deming: { slope: null } });
    const lines = stderr.trim().split('\n');
    expect(lines[0]).toContain('warning decimal-comma: ');
    expect(lines[1]).toBe(
      'warning values-missing: 2 of 5 rows lack a value and are left out: 1 in "caliper", 1 in "scan"; lines 4, 5.',
    );
    expect(stderr).toContain('Group "13" (n = 0)');
    for (const line of lines) expect(line).toMatch(/^warning [a-z-]+: [A-Z0-9].+\.$/);
  });

  it('finds columns whose names hold commas', () => {
    writeFileSync(at('comma.csv'), '"width, mm","scan"\n1,2\n2,3.5\n');
    expect(study(at('comma.csv'), '--columns', 'width, mm,scan').code).toBe(0);
  });

  it('refuses what is no table, with the line', () => {
    const refused = (text: string, ...words: string[]) => {
      writeFileSync(at('bad.csv'), text);
      const { code, stdout, stderr } = study(at('bad.csv'), '--columns', 'a,b', ...words);
      expect({ code, stdout }).toEqual({ code: 1, stdout: '' });
      expect(stderr).toMatch(/^refused [a-z-]+: [^\n]+\n$/);
      return stderr;
    };
    expect(refused('a,b\n1,2\n3\n')).toMatch(/^refused table-invalid: .*line 3/);
    expect(refused('a,b\n1,x\n')).toMatch(/^refused number-invalid: .*line 2, column "b"/);
    expect(refused('a,c\n1,2\n')).toMatch(/^refused column-unknown: .*"b"/);
    expect(refused('a,b\n1,2\n3,4\n', '--by', 'tooth')).toMatch(/^refused column-unknown: .*"tooth"/);
    expect(refused('a,b\n1,\n3,4\n')).toMatch(/refused too-few-pairs: .*got 1/);
    expect(study(at('absent.csv'), '--columns', 'a,b').stderr).toMatch(/^refused file-access/);
  });

  it('says how it is called', () => {
    writeFileSync(at('ok.csv'), 'a,b\n1,2\n2,3\n');
    for (const words of [
      [at('ok.csv')],
      [at('ok.csv'), '--columns', 'a'],
      ['--columns', 'a,b'],
      [at('ok.csv'), '--columns', 'a,a'],
    ])
      expect(study(...words)).toMatchObject({ code: 2, stdout: '' });
  });
});
