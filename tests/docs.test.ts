import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

// What README.md and DEVELOPERS.md say, held against what is there.

const ROOT = fileURLToPath(new URL('../', import.meta.url));
const text = (path: string): string => readFileSync(join(ROOT, path), 'utf8');
const filesUnder = (folder: string): readonly string[] =>
  readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(tsx?|mjs)$/.test(entry.name))
    .map((entry) => `${entry.parentPath.slice(ROOT.length)}/${entry.name}`);

const readme = text('README.md');
const developers = text('DEVELOPERS.md');
const sources = ['src', 'workers', 'tests'].flatMap(filesUnder).map((file) => ({ file, source: text(file) }));
const settings = readdirSync(ROOT).filter((name) => /\.(ts|html)$/.test(name));

/** The anchor a heading gets. */
const anchorOf = (heading: string): string =>
  heading
    .toLowerCase()
    .replace(/[^\p{L}\p{N} _-]/gu, '')
    .replaceAll(' ', '-');
const anchorsOf = (markdown: string): ReadonlySet<string> =>
  new Set([...markdown.matchAll(/^#+ (.+)$/gm)].map(([, heading]) => anchorOf(heading)));
const ANCHORS: Readonly<Record<string, ReadonlySet<string>>> = {
  'README.md': anchorsOf(readme),
  'DEVELOPERS.md': anchorsOf(developers),
};

/** Words in back quotes in the first column of the tables of one section. */
function firstColumn(section: string): readonly string[] {
  const from = developers.indexOf(`\n## ${section}`);
  expect(from, section).toBeGreaterThan(0);
  const to = developers.indexOf('\n## ', from + 1);
  return [...developers.slice(from, to < 0 ? undefined : to).matchAll(/^\| (`[^|]+`) \|/gm)].flatMap(
    ([, cell]) => [...cell.matchAll(/`([^`]+)`/g)].map(([, word]) => word),
  );
}

describe('references', () => {
  it('anchors that sources cite exist', () => {
    const cited = sources.flatMap(({ file, source }) =>
      [...source.matchAll(/(README|DEVELOPERS)\.md#([a-z0-9-]+)/g)].map(([, doc, anchor]) => ({
        file,
        doc: `${doc}.md`,
        anchor,
      })),
    );
    expect(cited.length).toBeGreaterThan(3);
    const broken = cited.filter(({ doc, anchor }) => !ANCHORS[doc].has(anchor));
    expect(broken).toEqual([]);
  });

  it('links and pictures of both files lead somewhere', () => {
    const broken = Object.keys(ANCHORS).flatMap((doc) =>
      [...text(doc).matchAll(/\]\(([^)\s]+)\)/g)]
        .map(([, target]) => target)
        .filter((target) => {
          const [path, anchor] = target.split('#');
          if (path && !existsSync(join(ROOT, path))) return true;
          return anchor !== undefined && !ANCHORS[path || doc]?.has(anchor);
        })
        .map((target) => `${doc}: ${target}`),
    );
    expect(broken).toEqual([]);
  });

  it('tests that doc comments call as proof exist', () => {
    const broken = sources
      .filter(({ file }) => !file.startsWith('tests/'))
      .flatMap(({ file, source }) =>
        [...source.matchAll(/tests\/[\w/.-]+\.(?:test|spec)\.tsx?/g)]
          .filter(([path]) => !existsSync(join(ROOT, path)))
          .map(([path]) => `${file}: ${path}`),
      );
    expect(broken).toEqual([]);
  });
});

describe('doc comments', () => {
  const union = [
    .../type RefusalCode =([\s\S]*?);/.exec(text('src/core/base/refusal.ts'))![1].matchAll(/'([a-z-]+)'/g),
  ].map(([, code]) => code);
  const product = sources.filter(({ file }) => /^(src\/(core|cli)|workers)\//.test(file));
  const docsOf = (source: string): readonly string[] =>
    [...source.matchAll(/\/\*\*[\s\S]*?\*\//g)].map(([doc]) => doc);

  it('name every refusal that their file throws', () => {
    const untold = product.flatMap(({ file, source }) => {
      const told = docsOf(source).join('\n');
      return [...source.matchAll(/new Refusal\(\s*'([a-z-]+)'/g)]
        .filter(([, code]) => !told.includes(`'${code}'`))
        .map(([, code]) => `${file}: ${code}`);
    });
    expect(untold).toEqual([]);
  });

  it('name no refusal that there is not', () => {
    const refusals = product.flatMap(({ file, source }) =>
      docsOf(source).flatMap((doc) =>
        [
          ...(/Refuses:[\s\S]*?(?=\n \* [A-Z]\w+:|\n \*\n|\*\/)/.exec(doc)?.[0] ?? '').matchAll(
            /'([a-z]+(?:-[a-z]+)+)'/g,
          ),
        ].map(([, code]) => ({ file, code })),
      ),
    );
    expect(refusals.length).toBeGreaterThan(100);
    expect(refusals.filter(({ code }) => !union.includes(code))).toEqual([]);
  });

  it('point at a test, or at another function, for an accuracy', () => {
    const claims = product.flatMap(({ file, source }) =>
      docsOf(source).flatMap((doc) => {
        const claim = /Accuracy:[\s\S]*?(?=\n \* [A-Z]\w+:|\n \*\n|\*\/)/.exec(doc)?.[0];
        return claim === undefined ? [] : [{ file, claim }];
      }),
    );
    expect(claims.length).toBeGreaterThan(60);
    const unproven = claims.filter(
      ({ claim }) =>
        !/tests\/[\w/.-]+\.test\.ts/.test(claim) && !/Accuracy: +(as|the solver's own)\b/.test(claim),
    );
    expect(unproven).toEqual([]);
  });
});

describe('DEVELOPERS.md', () => {
  it('has a row for every refusal code, and no other', () => {
    const union = /type RefusalCode =([\s\S]*?);/.exec(text('src/core/base/refusal.ts'))![1];
    const codes = [...union.matchAll(/'([a-z-]+)'/g)].map(([, code]) => code);
    expect(codes.length).toBeGreaterThan(20);
    expect([...firstColumn('Refusals')].sort()).toEqual([...codes].sort());
  });

  it('says of every room of core and of the page what it is for', () => {
    const folders = (of: string): readonly string[] =>
      readdirSync(join(ROOT, of), { withFileTypes: true })
        .filter((entry) => entry.isDirectory())
        .map(({ name }) => name);
    const from = developers.indexOf('\n`src/app`: ');
    const page = developers.slice(from, developers.indexOf('\n\n', from + 1));
    expect([...firstColumn('Rooms')].sort()).toEqual([...folders('src/core')].sort());
    expect(folders('src/app').filter((name) => !page.includes(`\`${name}\``))).toEqual([]);
  });

  it('names files that there are', () => {
    const known = ['src', 'workers', 'tests'].flatMap(filesUnder).concat(settings);
    const named = [...`${developers}\n${readme}`.matchAll(/`([\w./-]+\.(?:tsx?|mjs))`/g)].map(
      ([, name]) => name,
    );
    expect(named.length).toBeGreaterThan(40);
    expect(named.filter((name) => !known.some((file) => `/${file}`.endsWith(`/${name}`)))).toEqual([]);
  });

  it('and README give the command line its usage', () => {
    const usage = [...text('src/cli/main.ts').matchAll(/^ {2}((?:measure|plan|study|batch|sample) .+)$/gm)];
    expect(usage.length).toBeGreaterThan(5);
    for (const [, line] of usage) expect(readme).toContain(`npm run -s cli -- ${line.trim()}\n`);
  });

  it('names every script it tells of, and package.json has them', () => {
    const { scripts } = JSON.parse(text('package.json'));
    const told = [...`${developers}\n${readme}`.matchAll(/npm (?:run (?:-s )?)?([a-z0-9]+)/g)].map(
      ([, name]) => name,
    );
    const unknown = told.filter((name) => name !== 'ci' && !Object.hasOwn(scripts, name));
    expect(unknown).toEqual([]);
    expect(Object.keys(scripts).filter((name) => !told.includes(name) && name !== 'build')).toEqual([]);
  });

  it('gives every exit code of the command line', () => {
    const codes = [...text('src/cli/main.ts').matchAll(/return (\d);/g)].map(([, code]) => code);
    const rows = [...developers.matchAll(/^\| (\d) \|/gm)].map(([, code]) => code);
    expect(rows).toEqual([...new Set(codes)].sort());
  });
});

describe('dependencies', () => {
  const manifest: { dependencies: Record<string, string>; devDependencies: Record<string, string> } =
    JSON.parse(text('package.json'));
  const shipped = Object.keys(manifest.dependencies);
  const dev = Object.keys(manifest.devDependencies);

  const imported = (files: readonly { source: string }[]): ReadonlySet<string> =>
    new Set(
      files.flatMap(({ source }) =>
        [
          ...source.matchAll(
            /(?:\b(?:from|import)\s*\(?|import\.meta\.url\)\()\s*['"](@?[a-z][\w./@:-]*)['"]/g,
          ),
        ]
          .map(([, name]) =>
            name
              .split('/')
              .slice(0, name.startsWith('@') ? 2 : 1)
              .join('/'),
          )
          .filter((name) => !name.startsWith('node:')),
      ),
    );

  it('each has its reason, and no other', () => {
    expect([...firstColumn('Dependencies, each with its reason')].sort()).toEqual(
      [...shipped, ...dev].sort(),
    );
  });

  /** Used without an import of the product's own: tsx runs it; core is handed the solver loaded. */
  const UNIMPORTED = ['tsx', 'highs'];

  it('each is used, and those of the product are not merely for tests', () => {
    const product = imported(
      sources.filter(({ file }) => !file.startsWith('tests/') && !file.startsWith('src/run/')),
    );
    expect(shipped.filter((name) => !product.has(name) && !UNIMPORTED.includes(name))).toEqual([]);
    expect([...product].filter((name) => !shipped.includes(name))).toEqual([]);
    const rest = imported([...sources, ...settings.map((name) => ({ source: text(name) }))]);
    const run = text('src/run/test.mjs');
    const plugins = /plugins: \[(.*)\]/.exec(text('tests/mutation/run.ts'))![1]; // loaded by their names
    const unused = dev.filter(
      (name) =>
        !rest.has(name) &&
        !run.includes(`'${name}/`) &&
        !name.startsWith('@types/') &&
        !plugins.includes(`'${name}'`),
    );
    expect(unused).toEqual([]);
  });

  it('the lock file is in step and names no address', () => {
    const lock = JSON.parse(text('package-lock.json'));
    expect(lock.packages[''].dependencies).toEqual(manifest.dependencies);
    expect(lock.packages[''].devDependencies).toEqual(manifest.devDependencies);
    expect(text('package-lock.json')).not.toContain('"resolved": "http');
  });
});
