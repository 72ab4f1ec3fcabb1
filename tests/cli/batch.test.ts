import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Papa from 'papaparse';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readManifest } from '../../src/cli/batch/readManifest.ts';
import { documentJson } from '../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { makeArch } from '../../src/samples/makeArch.ts';
import { writePly } from '../../src/samples/writeMesh.ts';
import { refusalOf } from '../support/refusal.ts';
import { sampleMarks } from '../support/sampleMarks.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const WORDS = [join(ROOT, 'node_modules', 'tsx', 'dist', 'cli.mjs'), 'src/cli/main.ts'];

let folder = '';
const at = (...names: string[]): string => join(folder, ...names);

function cli(...words: string[]) {
  const run = spawnSync(process.execPath, [...WORDS, ...words], {
    cwd: ROOT,
    encoding: 'utf8',
    timeout: 240_000,
  });
  return { code: run.status, stdout: run.stdout, stderr: run.stderr };
}

/** Every file under a folder with its text, but for the folder's own head files. */
const results = (out: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(out, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && !entry.name.startsWith('batch'))
      .map((entry) => join(entry.parentPath, entry.name))
      .sort()
      .map((path) => [path.slice(out.length), readFileSync(path, 'utf8')]),
  );

const SCANS = 5;
const MANIFEST = 'manifest.csv';

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'archledger-batch-'));
  mkdirSync(at('scans'));
  const rows = [];
  for (let i = 0; i < SCANS; i++) {
    const jaw = i % 2 ? 'upper' : 'lower';
    const arch = makeArch({ jaw, seed: 30 + i, crowdingMm: i, triangles: 20_000 });
    writeFileSync(at('scans', `arch-${i}.ply`), writePly(arch.mesh));
    if (i === 0) writeFileSync(at('scans', 'arch-0.json'), documentJson(sampleMarks(arch.truth), 'marks'));
    rows.push(`scans/arch-${i}.ply;${jaw};${i === 0 ? 'scans/arch-0.json' : ''};;`);
  }
  writeFileSync(at('scans', 'broken.stl'), 'solid nothing');
  rows.splice(
    1,
    0,
    'scans/broken.stl;lower;;;',
    'scans/absent.stl;lower;;;',
    'scans/arch-1.ply;sideways;;;wrong jaw',
  );
  writeFileSync(at(MANIFEST), `scan;jaw;marks;missing;case\n${rows.join('\n')}\n`);
}, 120_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const summaryOf = (out: string, name = 'summary') =>
  JSON.parse(readFileSync(join(out, `${name}.json`), 'utf8'));

describe('batch', () => {
  it('measures all that can be measured, says of every case what became of it, and keeps it when run again', () => {
    const { code, stdout, stderr } = cli('batch', at(MANIFEST), '--out', at('whole'), '--jobs', '2');
    expect(code).toBe(0);
    expect(stderr.trim()).toBe(`3 of 8 cases refused, 0 failed; see ${at('whole', 'summary.csv')}.`);
    expect(JSON.parse(stdout)).toMatchObject({
      counts: { cases: 8, measured: 5, refused: 3, failed: 0, notDone: 0 },
      kept: 0,
    });
    const { cases } = summaryOf(at('whole'));
    expect(
      cases.map((c: { case: string; status: string; code: string | null }) => [c.case, c.status, c.code]),
    ).toEqual([
      ['arch-0', 'measured', null],
      ['broken', 'refused', 'file-truncated'],
      ['absent', 'refused', 'file-access'],
      ['wrong_jaw', 'refused', 'manifest-invalid'],
      ['arch-1', 'measured', null],
      ['arch-2', 'measured', null],
      ['arch-3', 'measured', null],
      ['arch-4', 'measured', null],
    ]);

    // One case is what the command measure gives.
    const alone = cli(
      'measure',
      at('scans', 'arch-0.ply'),
      '--jaw',
      'lower',
      '--marks',
      at('scans', 'arch-0.json'),
    );
    const inBatch = readDocument(
      readFileSync(at('whole', 'measurements', 'arch-0.json'), 'utf8'),
      'measurement',
    );
    expect(inBatch).toEqual(readDocument(alone.stdout, 'measurement'));
    expect(cases[0].figures).toMatchObject({ teeth: 14, differenceMm: inBatch.space.differenceMm });

    const table = Papa.parse<string[]>(readFileSync(at('whole', 'summary.csv'), 'utf8').slice(1).trim()).data;
    expect(table).toHaveLength(9);
    expect(table[0].slice(0, 5)).toEqual(['case', 'line', 'scan', 'jaw', 'status']);

    const before = results(at('whole'));
    const again = JSON.parse(cli('batch', at(MANIFEST), '--out', at('whole')).stdout);
    expect(again.kept).toBe(7); // all but the scan that is not there, which is looked for again
    expect(results(at('whole'))).toEqual(before);
  }, 240_000);

  it('killed in the middle and started again it loses nothing and ends as if never stopped', async () => {
    const run = spawn(
      process.execPath,
      [...WORDS, 'batch', at(MANIFEST), '--out', at('killed'), '--jobs', '1'],
      {
        cwd: ROOT,
        stdio: 'ignore',
        detached: true,
      },
    );
    await until(() => count(at('killed', 'records')) >= 5);
    await killed(run);
    expect(existsSync(at('killed', 'summary.json'))).toBe(false);
    const done = count(at('killed', 'records'));
    expect(done).toBeLessThan(8);
    const { kept } = JSON.parse(cli('batch', at(MANIFEST), '--out', at('killed'), '--jobs', '1').stdout);
    expect(kept).toBeGreaterThanOrEqual(done - 1);
    expect(results(at('killed'))).toEqual(results(at('whole')));
  }, 240_000);

  it('measures anew what was damaged, or whose inputs changed', () => {
    const out = at('whole');
    const path = at('whole', 'measurements', 'arch-2.json');
    const before = readFileSync(path, 'utf8');
    writeFileSync(path, before.slice(0, 100));
    const scan = at('scans', 'arch-3.ply');
    const original = readFileSync(scan);
    const changed = Buffer.from(original);
    changed.writeFloatLE(
      changed.readFloatLE(changed.length - 20_000 * 13 - 4000) + 1e-5,
      changed.length - 20_000 * 13 - 4000,
    );
    writeFileSync(scan, changed);
    const record = (name: string) => JSON.parse(readFileSync(at('whole', 'records', `${name}.json`), 'utf8'));
    const inputs = record('arch-3').inputs;
    const { kept } = JSON.parse(cli('batch', at(MANIFEST), '--out', out).stdout);
    writeFileSync(scan, original);
    expect(kept).toBe(5);
    expect(readFileSync(path, 'utf8')).toBe(before);
    expect(record('arch-3').inputs).not.toBe(inputs);
  }, 240_000);

  it('parts merged are the whole', async () => {
    for (const part of ['1/2', '2/2'])
      expect(cli('batch', at(MANIFEST), '--out', at(`part-${part[0]}`), '--part', part).code).toBe(0);
    expect(summaryOf(at('part-1'), 'summary-1-of-2').counts.cases).toBe(4);
    const merged = cli('batch', '--merge', at('part-1'), at('part-2'), '--out', at('merged'));
    expect(merged).toMatchObject({ code: 0, stderr: '' });
    expect(JSON.parse(merged.stdout).counts).toEqual({
      cases: 8,
      measured: 5,
      refused: 3,
      failed: 0,
      notDone: 0,
    });
    expect(results(at('merged'))).toEqual(results(at('killed')));
    const half = cli('batch', '--merge', at('part-2'), '--out', at('half'));
    expect(half.stderr).toContain('4 of 8 cases are in none of the folders');
    expect(JSON.parse(half.stdout).counts).toMatchObject({ cases: 8, notDone: 4 });
    writeFileSync(at('other.csv'), 'scan,jaw\nscans/broken.stl,lower\n');
    cli('batch', at('other.csv'), '--out', at('other'));
    expect(cli('batch', '--merge', at('part-1'), at('other'), '--out', at('mixed'))).toMatchObject({
      code: 1,
      stdout: '',
    });
    expect(cli('batch', '--merge', at('scans'), '--out', at('mixed')).stderr).toMatch(
      /^refused file-access: .*holds no batch/,
    );
  }, 240_000);

  it('says how it is called', () => {
    for (const words of [
      [],
      [at(MANIFEST)],
      [at(MANIFEST), '--out', at('x'), '--jobs', '0'],
      [at(MANIFEST), '--out', at('x'), '--part', '3/2'],
    ])
      expect(cli('batch', ...words)).toMatchObject({ code: 2, stdout: '' });
  });
});

describe('manifest', () => {
  const read = (text: string) => readManifest(new TextEncoder().encode(text), '/cases');

  it('names each case once, whatever the file system folds', () => {
    const names = read(
      'scan,jaw,case\na/x.stl,upper,\nb/X.stl,lower,\nc/x.stl,upper,\nd/y.stl,upper,Own: name\ne/own.stl,lower,\n',
    );
    expect(names.map(({ name }) => name)).toEqual(['x-upper', 'X-lower', 'x-upper-2', 'Own_name', 'own']);
    expect(names[0].scanPath).toBe('/cases/a/x.stl');
  });

  it('reads teeth, missing ones and units; a row of nonsense is a fault of its own', () => {
    const [good, jaw, tooth, none, mixed, permanent, both] = read(
      'scan,jaw,missing,teeth,unit,primary\nx.stl,Upper,12 22,16-26,um,\ny.stl,up,,,,\nz.stl,lower,12,,,\n,lower,,,,\nm.stl,lower,,,,75 85\nn.stl,lower,,,,35\no.stl,lower,35,,,75\n',
    );
    expect(good.asked).toMatchObject({ jaw: 'upper', missing: [12, 22], primary: [], unit: 'um' });
    expect(mixed.asked!.primary).toEqual([75, 85]);
    expect(permanent.fault!.message).toContain('35 is no primary tooth');
    expect(both.fault!.message).toContain('75 is said to stand');
    expect(good.asked!.range).toHaveLength(12);
    expect(jaw.fault).toMatchObject({ code: 'manifest-invalid' });
    expect(jaw.fault!.message).toContain('line 3');
    expect(tooth.fault).toMatchObject({ code: 'jaw-mismatch' });
    expect(none.fault!.message).toContain('scan is missing');
  });

  it.each([
    ['scan,side\nx.stl,upper\n', 'column-unknown'],
    ['scan,jaw\n', 'manifest-invalid'],
    ['scan,jaw,case\nx.stl,upper,A\ny.stl,upper,a\n', 'manifest-invalid'],
    ['scan,jaw\nx.stl\n', 'table-invalid'],
    ['', 'file-empty'],
  ])('%j is refused: %s', async (text, code) => {
    expect((await refusalOf(() => read(text))).code).toBe(code);
  });
});

const count = (path: string): number =>
  existsSync(path) ? readdirSync(path).filter((name) => name.endsWith('.json')).length : 0;

async function until(isSo: () => boolean): Promise<void> {
  for (let i = 0; i < 4000 && !isSo(); i++) await new Promise((resolve) => setTimeout(resolve, 20));
  expect(isSo()).toBe(true);
}

/** SIGKILL to the command and all it started. */
const killed = (run: ChildProcess): Promise<void> =>
  new Promise((resolve) => {
    run.once('exit', () => resolve());
    process.kill(-run.pid!, 'SIGKILL');
  });
