import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { archFrame, pointInScan } from '../../src/core/arch/ArchFrame.ts';
import { distance } from '../../src/core/base/Vec3.ts';
import { documentJson } from '../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { type GeneratedArch, makeArch } from '../../src/samples/makeArch.ts';
import type { SampleTruth } from '../../src/samples/sampleTruth.ts';
import { writePly, writeStl } from '../../src/samples/writeMesh.ts';
import { sampleMarks } from '../support/sampleMarks.ts';
import { hasSharedScans } from '../support/sharedScans.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const TSX = join(ROOT, 'node_modules', 'tsx', 'dist', 'cli.mjs');

interface Run {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** The command line as a real process; a minute is patience, not a promise. */
function cli(...words: string[]): Run {
  const run = spawnSync(process.execPath, [TSX, 'src/cli/main.ts', ...words], {
    cwd: ROOT,
    encoding: 'utf8',
    timeout: 60_000,
    maxBuffer: 2 ** 26,
  });
  return { code: run.status, stdout: run.stdout, stderr: run.stderr };
}

let folder = '';
let arch: GeneratedArch;
const at = (name: string): string => join(folder, name);

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'archledger-cli-'));
  arch = makeArch({ jaw: 'lower', seed: 3, crowdingMm: 2, triangles: 20_000, pose: 'any' });
  writeFileSync(at('arch.ply'), writePly(arch.mesh));
  writeFileSync(at('arch.stl'), writeStl(arch.mesh));
  writeFileSync(at('marks.json'), documentJson(sampleMarks(arch.truth), 'marks'));
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

const measure = (...words: string[]): Run => cli('measure', ...words);

/** One line `refused CODE: message` on stderr, nothing on stdout, exit 1. */
function expectRefused({ code, stdout, stderr }: Run, refusal: string, ...texts: string[]): void {
  expect(stderr).toMatch(/^refused [a-z-]+: [^\n]+\n$/);
  expect(stderr.split(':')[0]).toBe(`refused ${refusal}`);
  for (const text of texts) expect(stderr).toContain(text);
  expect({ code, stdout }).toEqual({ code: 1, stdout: '' });
}

describe('measure', () => {
  it('gives measurement@1 that agrees with the truth of the sample', () => {
    const { code, stdout, stderr } = measure(at('arch.ply'), '--jaw', 'lower', '--marks', at('marks.json'));
    expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
    const file = readDocument(stdout, 'measurement');
    const { truth } = arch;
    expect(file.scan).toMatchObject({ file: 'arch.ply', triangles: arch.mesh.indices.length / 3 });
    expect(file.scan.sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(file.jaw).toBe('lower');
    // The frame is found from the surface, in any pose.
    const { occlusal } = file.frame;
    const tilt = Math.acos(truth.frame.occlusal.reduce((sum, c, i) => sum + c * occlusal[i], 0));
    expect((tilt * 180) / Math.PI).toBeLessThan(5);
    expect(file.teeth.map((t) => t.tooth).sort()).toEqual(truth.teeth.map((t) => t.tooth).sort());
    for (const tooth of truth.teeth) {
      const found = file.teeth.find((t) => t.tooth === tooth.tooth)!;
      expect(found.widthMm).toBeCloseTo(distance(tooth.mesialMm, tooth.distalMm), 6);
      expect(found).toMatchObject({ mesialMm: tooth.mesialMm, distalMm: tooth.distalMm, source: 'marked' });
    }
    // Displacements lie in the occlusal plane found; 5° of tilt shorten them by 0.4 % at most, heights add to it.
    expect(Math.abs(file.arch.irregularityMm! - truth.arch.irregularityMm!)).toBeLessThan(0.5);
    const fault = Math.abs(file.space.differenceMm! - truth.space.differenceMm);
    expect(fault).toBeLessThan(Math.min(0.5, 3 * file.space.sdMm!));
  });

  it('gives the same from an STL of the same surface, but for the file', () => {
    const run = (scan: string) =>
      readDocument(measure(at(scan), '--jaw', 'lower', '--marks', at('marks.json')).stdout, 'measurement');
    const [ply, stl] = [run('arch.ply'), run('arch.stl')];
    expect(stl.scan.sha256).not.toBe(ply.scan.sha256);
    expect(stl.teeth.map((t) => t.widthMm)).toEqual(ply.teeth.map((t) => t.widthMm));
    expect(stl.space.differenceMm).toBeCloseTo(ply.space.differenceMm!, 1);
  });

  it('leaves out teeth said to be missing and names what it then lacks', () => {
    const marks = sampleMarks(arch.truth, [41]);
    writeFileSync(at('without-41.json'), documentJson(marks, 'marks'));
    const words = [at('arch.ply'), '--jaw', 'lower', '--marks', at('without-41.json')];
    const unsaid = readDocument(measure(...words).stdout, 'measurement');
    expect(unsaid.warnings.find(({ code }) => code === 'teeth-not-marked')?.message).toContain('41');
    const said = readDocument(measure(...words, '--missing', '41').stdout, 'measurement');
    expect(said.warnings.some(({ code }) => code === 'teeth-not-marked')).toBe(false);
    expect(said.arch.irregularityMm).toBeNull();
    expect(said.warnings.some(({ code }) => code === 'irregularity-missing')).toBe(true);
    expect(said.teeth.some((t) => t.tooth === 41)).toBe(false);
  });

  it('measures only the teeth of a range and says so', () => {
    const words = [at('arch.ply'), '--jaw', 'lower', '--marks', at('marks.json'), '--teeth'];
    const file = readDocument(measure(...words, '46-36').stdout, 'measurement');
    expect(file.teeth).toHaveLength(12);
    expect(file.warnings).toContainEqual({
      code: 'outside-range',
      message: 'Marked, but outside --teeth and not measured: 37, 47.',
    });
    const wide = readDocument(measure(...words, '38-48').stdout, 'measurement');
    expect(wide.teeth).toHaveLength(14);
    expect(wide.warnings.at(-1)!.message).toBe('Within --teeth, but neither marked nor missing: 48, 38.');
  });

  it('converts a scan in another unit when told', () => {
    const positions = arch.mesh.positions.map((x) => x / 1000);
    writeFileSync(at('metres.ply'), writePly({ ...arch.mesh, positions }));
    const words = [at('metres.ply'), '--jaw', 'lower', '--marks', at('marks.json')];
    expectRefused(measure(...words), 'unit-implausible', 'm');
    const file = readDocument(measure(...words, '--unit', 'm').stdout, 'measurement');
    expect(file.warnings.some(({ code }) => code === 'unit-converted')).toBe(true);
    expect(Math.abs(file.space.differenceMm! - arch.truth.space.differenceMm)).toBeLessThan(0.5);
  });

  it('proposes marks where none are given, as proposed, with confidence and what is doubtful', () => {
    const { code, stdout, stderr } = measure(at('arch.ply'), '--jaw', 'lower');
    expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
    const file = readDocument(stdout, 'measurement');
    expect(file.teeth.map((t) => t.tooth).sort()).toEqual(arch.truth.teeth.map((t) => t.tooth).sort());
    for (const { source, confidence, sdMm } of file.teeth) {
      expect(source).toBe('proposed');
      expect(confidence).toBeGreaterThan(0);
      expect(confidence).toBeLessThanOrEqual(1);
      expect(sdMm).toBeGreaterThan(0);
    }
    expect(file.warnings).toContainEqual({
      code: 'marks-proposed',
      message: '42 marks were proposed from the surface; nobody has looked at them.',
    });
    // 20,000 triangles are coarse: every tooth of which a mark is unsure is named among the doubts.
    const doubted = file.warnings.filter((w) => w.code === 'proposal-doubtful').map((w) => w.message);
    for (const { tooth, confidence } of file.teeth)
      if (confidence! < 0.5) expect(doubted.some((text) => text.startsWith(`Tooth ${tooth}: `))).toBe(true);
    for (const text of doubted) expect(text).toMatch(/^Tooth \d\d: [A-Z].+\.$/);
    const errors = arch.truth.teeth.map(
      (t) => file.teeth.find((f) => f.tooth === t.tooth)!.widthMm - t.widthMm,
    );
    expect(Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length)).toBeLessThan(0.3);
  });

  it('proposes nothing for teeth outside the range or missing', () => {
    const some = readDocument(
      measure(at('arch.ply'), '--jaw', 'lower', '--teeth', '46-36').stdout,
      'measurement',
    );
    expect(some.teeth.map((t) => t.tooth)).toEqual(
      [46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36].filter((t) => some.teeth.some((f) => f.tooth === t)),
    );
    const gapped = makeArch({
      jaw: 'lower',
      seed: 6,
      missing: [{ tooth: 35, space: 'open' }],
      triangles: 40_000,
    });
    writeFileSync(at('gapped.ply'), writePly(gapped.mesh));
    const said = measure(at('gapped.ply'), '--jaw', 'lower', '--missing', '35');
    const found = readDocument(said.stdout, 'measurement').teeth.map((t) => t.tooth);
    expect(found.sort()).toEqual(gapped.truth.teeth.map((t) => t.tooth).sort());
  });

  it('measures a mixed dentition whose primary teeth are named, and doubts one whose are not', () => {
    const scan = join(ROOT, 'sample-meshes', 'lower-mixed.ply');
    const truth = JSON.parse(readFileSync(join(ROOT, 'sample-meshes', 'lower-mixed.truth.json'), 'utf8'));
    const primary = ['--primary', '73,74,75,83,84,85', '--teeth', '46-36'];
    const told = readDocument(measure(scan, '--jaw', 'lower', ...primary).stdout, 'measurement');
    const widths = new Map(told.teeth.map((t) => [t.tooth, t.widthMm]));
    for (const { tooth, widthMm } of truth.teeth)
      expect(Math.abs((widths.get(tooth) ?? Number.NaN) - widthMm), String(tooth)).toBeLessThan(0.4);
    expect(told.teeth.length).toBe(truth.teeth.length);
    expect(told.warnings.map((w) => w.code)).not.toContain('perhaps-primary');
    expect(told.space.differenceMm).toBeNull(); // the successors' widths are not known
    const untold = readDocument(measure(scan, '--jaw', 'lower').stdout, 'measurement');
    expect(untold.warnings.find((w) => w.code === 'perhaps-primary')?.message).toContain('--primary');
  });

  it.skipIf(!hasSharedScans)('finds the fourteen teeth of a real arch by itself', () => {
    const scan = join(ROOT, '..', 'shared', 'scans', 'arch-b-upper.stl');
    const { teeth } = readDocument(measure(scan, '--jaw', 'upper', '--teeth', '17-27').stdout, 'measurement');
    expect(teeth.map((t) => t.tooth)).toEqual([17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27]);
    for (const { widthMm } of teeth) {
      expect(widthMm).toBeGreaterThan(4.5);
      expect(widthMm).toBeLessThan(13);
    }
  });

  it('refuses marks that are not of this scan, this jaw or this kind', () => {
    const { truth } = arch;
    const elsewhere = archFrame([300, 0, 0], truth.frame.occlusal, truth.frame.forward);
    const moved = sampleMarks(truth).marks.map((m) => ({ ...m, pointMm: pointInScan(elsewhere, m.pointMm) }));
    writeFileSync(at('moved.json'), documentJson({ ...sampleMarks(truth), marks: moved }, 'marks'));
    const words = [at('arch.ply'), '--jaw', 'lower', '--marks'];
    expectRefused(measure(...words, at('moved.json')), 'no-surface-near', 'mm from the surface');
    expectRefused(measure(at('arch.ply'), '--jaw', 'upper', '--marks', at('marks.json')), 'jaw-mismatch');
    writeFileSync(at('broken.json'), '{\n"schema": "archledger/marks@1",\n"jaw": lower}');
    expectRefused(measure(...words, at('broken.json')), 'json-invalid', 'line 3, column 8');
    writeFileSync(at('newer.json'), '{"schema": "archledger/marks@2"}');
    expectRefused(measure(...words, at('newer.json')), 'schema-newer');
    writeFileSync(
      at('field.json'),
      '{"schema": "archledger/marks@1", "jaw": "lower", "marks": [{"tooth": 31}]}',
    );
    expectRefused(measure(...words, at('field.json')), 'field-invalid', 'marks[0].site');
    expectRefused(measure(...words, at('absent.json')), 'file-access', 'absent.json');
    expectRefused(measure(...words, at('arch.ply')), 'json-invalid', 'line 1, column 1');
  });

  it('refuses teeth that do not exist or are of the other jaw', () => {
    const words = [at('arch.ply'), '--jaw', 'lower', '--marks', at('marks.json')];
    expectRefused(measure(...words, '--missing', '39'), 'tooth-unknown', '39');
    expectRefused(measure(...words, '--missing', '41,12'), 'jaw-mismatch', '12');
    expectRefused(measure(...words, '--teeth', '17-27'), 'jaw-mismatch', '17');
  });
});

describe('broken scans are refused with one line', () => {
  const ply = () => Buffer.from(writePly(arch.mesh));
  const stl = () => Buffer.from(writeStl(arch.mesh));
  const plyBody = (bytes: Buffer): number => bytes.indexOf('end_header\n') + 'end_header\n'.length;
  const scaled = (factor: number) =>
    Buffer.from(writeStl({ ...arch.mesh, positions: arch.mesh.positions.map((x) => x * factor) }));
  const withFloat = (bytes: Buffer, offset: number, value: number): Buffer => {
    bytes.writeFloatLE(value, offset);
    return bytes;
  };
  const withCount = (count: number): Buffer => {
    const bytes = stl();
    bytes.writeUInt32LE(count, 80);
    return bytes;
  };
  const withIndex = (index: number): Buffer => {
    const bytes = ply();
    const body = plyBody(bytes) + 12 * (arch.mesh.positions.length / 3);
    bytes.writeInt32LE(index, body + 1);
    return bytes;
  };

  it.each<[string, string, () => Buffer, RegExp]>([
    ['an empty file', 'a.stl', () => Buffer.alloc(0), /file-empty/],
    ['a truncated STL', 'a.stl', () => stl().subarray(0, 300_000), /file-truncated|count-mismatch/],
    ['a truncated PLY', 'a.ply', () => ply().subarray(0, 200_000), /file-truncated|count-mismatch/],
    ['an STL cut in its header', 'a.stl', () => stl().subarray(0, 60), /file-truncated|format-unknown/],
    ['a count too small', 'a.stl', () => withCount(100), /count-mismatch/],
    ['a count of 4 billion', 'a.stl', () => withCount(4_294_967_295), /file-truncated|count-mismatch/],
    ['NaN in an STL', 'a.stl', () => withFloat(stl(), 84 + 50 * 7 + 12, Number.NaN), /number-invalid/],
    [
      'infinity in an STL',
      'a.stl',
      () => withFloat(stl(), 84 + 50 * 7 + 12, Number.POSITIVE_INFINITY),
      /number-invalid/,
    ],
    ['NaN in a PLY', 'a.ply', () => withFloat(ply(), plyBody(ply()) + 120, Number.NaN), /number-invalid/],
    ['an index out of range', 'a.ply', () => withIndex(2_000_000_000), /index-out-of-range/],
    ['a negative index', 'a.ply', () => withIndex(-1), /index-out-of-range/],
    [
      'a PLY that promises 4 billion vertices',
      'a.ply',
      () =>
        Buffer.from(
          ply()
            .toString('latin1')
            .replace(/element vertex \d+/, 'element vertex 4294967295'),
          'latin1',
        ),
      /file-truncated|count-mismatch|header-invalid|file-too-large/,
    ],
    [
      'a picture',
      'a.stl',
      () => Buffer.from('\x89PNG\r\n\x1a\n'.padEnd(2000, 'x'), 'latin1'),
      /format-unknown|count-mismatch|file-truncated/,
    ],
    [
      'a text',
      'a.ply',
      () => Buffer.from('Dear colleague,\nplease find the scan attached.\n'),
      /format-unknown|header-invalid/,
    ],
    ['metres', 'a.stl', () => scaled(0.001), /unit-implausible/],
    ['inches', 'a.stl', () => scaled(1 / 25.4), /unit-implausible/],
    ['micrometres', 'a.stl', () => scaled(1000), /unit-implausible/],
  ])('%s', (_, name, bytes, code) => {
    writeFileSync(at(name), bytes());
    const run = measure(at(name), '--jaw', 'lower', '--marks', at('marks.json'));
    expectRefused(run, code.exec(run.stderr)?.[0] ?? String(code));
  });

  it('a file that is not there, and a folder', () => {
    expectRefused(measure(at('absent.stl'), '--jaw', 'lower', '--marks', at('marks.json')), 'file-access');
    expectRefused(measure(folder, '--jaw', 'lower', '--marks', at('marks.json')), 'file-access', 'a folder');
  });
});

describe('sample', () => {
  it('writes a sample and its truth, and what it writes can be measured', () => {
    const out = at('out');
    const { code, stdout } = cli('sample', '--seed', '11', '--out', out);
    expect(code).toBe(0);
    const { files } = JSON.parse(stdout) as { files: string[] };
    expect(files).toHaveLength(2);
    expect(
      readdirSync(out)
        .map((name) => join(out, name))
        .sort(),
    ).toEqual([...files].sort());
    const truth = JSON.parse(readFileSync(files[1], 'utf8')) as SampleTruth;
    writeFileSync(at('11.json'), documentJson(sampleMarks(truth), 'marks'));
    const measured = measure(files[0], '--jaw', truth.jaw, '--marks', at('11.json'));
    const { space } = readDocument(measured.stdout, 'measurement');
    expect(Math.abs(space.differenceMm! - truth.space.differenceMm)).toBeLessThan(0.5);
  });

  it('refuses a folder that cannot be written', () => {
    writeFileSync(at('file-in-the-way'), '');
    expectRefused(cli('sample', '--seed', '1', '--out', join(at('file-in-the-way'), 'x')), 'file-access');
  });
});

describe('wrong usage', () => {
  const scan = () => [at('arch.ply'), '--jaw', 'lower'];
  it.each<[string, () => string[], string]>([
    ['no command', () => [], 'no command was given'],
    ['an unknown command', () => ['toString'], 'there is no command "toString"'],
    ['no scan', () => ['measure', '--jaw', 'lower'], 'SCAN is missing'],
    ['no jaw', () => ['measure', at('arch.ply')], '--jaw is missing, need upper or lower'],
    ['a wrong jaw', () => ['measure', at('arch.ply'), '--jaw', 'both'], '--jaw is "both"'],
    ['an unknown option', () => ['measure', ...scan(), '--fast'], '--fast'],
    ['a wrong unit', () => ['measure', ...scan(), '--unit', 'ft'], '--unit is "ft"'],
    ['two scans', () => ['measure', ...scan(), 'b.stl'], 'one word too many: b.stl'],
    ['a word for a tooth', () => ['measure', ...scan(), '--missing', 'canine'], '--missing: "canine"'],
    [
      'a permanent tooth for a primary one',
      () => ['measure', ...scan(), '--primary', '75,35'],
      '35 is no primary tooth',
    ],
    [
      'a tooth that stands and is missing',
      () => ['measure', ...scan(), '--primary', '75', '--missing', '35'],
      '75 is said to stand',
    ],
    ['half a range', () => ['measure', ...scan(), '--teeth', '47'], '--teeth: "47" is no range'],
    ['no request', () => ['plan'], 'missing'],
    ['an unknown sample', () => ['sample', 'nobody', '--out', at('x')], 'lower-crowded'],
    ['a wrong seed', () => ['sample', '--seed', 'x', '--out', at('x')], '--seed is "x"'],
    ['no folder', () => ['sample', '--seed', '1'], '--out DIR is missing'],
  ])('%s', (_, words, text) => {
    const { code, stdout, stderr } = cli(...words());
    expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
    expect(stderr).toContain(text);
    expect(stderr).toContain('Usage: npm run -s cli -- COMMAND');
  });

  it('is not asking for help', () => {
    const { code, stdout } = cli('--help');
    expect(code).toBe(0);
    expect(stdout).toContain('measure SCAN --jaw upper|lower');
    for (const command of ['plan', 'study', 'batch', 'sample']) expect(stdout).toContain(`\n  ${command} `);
  });
});

describe('npm run -s cli', () => {
  it('passes words and exit codes through', () => {
    mkdirSync(at('deep'), { recursive: true });
    const run = (...words: string[]) =>
      spawnSync('npm', ['run', '-s', 'cli', '--', ...words], {
        cwd: ROOT,
        encoding: 'utf8',
        timeout: 60_000,
      });
    const good = run('measure', at('arch.stl'), '--jaw', 'lower', '--marks', at('marks.json'));
    expect(good.status).toBe(0);
    expect(readDocument(good.stdout, 'measurement').teeth).toHaveLength(14);
    expect(run('measure', at('absent.stl'), '--jaw', 'lower', '--marks', at('marks.json')).status).toBe(1);
    expect(run('measure').status).toBe(2);
  });
});
