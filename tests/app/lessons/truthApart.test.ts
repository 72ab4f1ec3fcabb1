import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';

const filesIn = (folder: string): readonly string[] =>
  readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    return entry.isDirectory() ? filesIn(path) : /\.tsx?$/.test(path) ? [path] : [];
  });

it('the truth of a generated arch is known to the generator and to the scoring of lessons alone', () => {
  const allowed = /^(src\/samples\/|src\/app\/lessons\/|workers\/samples)/;
  const files = ['src', 'workers'].flatMap(filesIn).map((path) => path.replaceAll('\\', '/'));
  const knowing = files.filter((path) =>
    /(truth|change)\b.*\.json|[sS]ampleTruth|[cC]hangeTruth/.test(readFileSync(path, 'utf8')),
  );
  expect(knowing.length).toBeGreaterThan(5);
  expect(knowing.filter((path) => !allowed.test(path))).toEqual([]);
});
