import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { codeFrom, programStamp } from '../../src/cli/batch/programStamp.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');

let folder = '';
const write = (name: string, text: string) => writeFileSync(join(folder, name), text);
const stamp = () => programStamp(folder, 'src/entry.ts');

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'archledger-stamp-'));
  mkdirSync(join(folder, 'src', 'core'), { recursive: true });
  write('package.json', '{ "name": "archledger", "version": "1.2.3", "dependencies": { "three": "0.1.0" } }');
  write(
    'src/entry.ts',
    "import { a } from './core/a.ts';\nimport {\n  b,\n} from './core/b.ts';\nawait import('./late.ts');\n",
  );
  write('src/core/a.ts', "import type { b } from './b.ts';\nexport * from './c.ts';\n");
  write('src/core/b.ts', "import { a } from './a.ts';\n"); // a circle
  write('src/core/c.ts', 'export const c = 1;\n');
  write('src/late.ts', '');
  write('src/core/elsewhere.ts', '');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('programStamp', () => {
  it('names the version and is the same for the same code, whatever its line ends', async () => {
    const before = await stamp();
    expect(before).toMatch(/^archledger 1\.2\.3, [0-9a-f]{16}$/);
    write('src/core/c.ts', 'export const c = 1;\r\n');
    expect(await stamp()).toBe(before);
    write('src/core/elsewhere.ts', 'export const other = 1;\n');
    expect(await stamp()).toBe(before);
  });

  it.each(['src/entry.ts', 'src/core/a.ts', 'src/core/b.ts', 'src/core/c.ts', 'src/late.ts'])(
    'changes with %s',
    async (name) => {
      const before = await stamp();
      write(name, `${readFileSync(join(folder, name), 'utf8')}// changed\n`);
      expect(await stamp()).not.toBe(before);
    },
  );

  it('changes with the version of a library', async () => {
    const before = await stamp();
    write('package.json', readFileSync(join(folder, 'package.json'), 'utf8').replace('0.1.0', '0.1.1'));
    expect(await stamp()).not.toBe(before);
  });

  it('reaches the code that measures and no other', async () => {
    const reached = [...(await codeFrom(join(ROOT, 'src/cli/batch/runCase.ts'))).keys()].map((path) =>
      relative(ROOT, path).replaceAll('\\', '/'),
    );
    for (const path of [
      'cli/measureScan.ts',
      'core/scan/openScan.ts',
      'core/crowns/archCourse.ts',
      'core/base/Vec3.ts',
    ])
      expect(reached).toContain(`src/${path}`);
    expect(reached).not.toContain('src/cli/planCase.ts');
    expect(reached.filter((path) => path.startsWith('src/app/'))).toEqual([]);
  });
});
