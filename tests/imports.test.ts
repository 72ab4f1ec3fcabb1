import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..');

/** The rooms of core as the story is told; a room imports itself and earlier ones only. */
const STORY = [
  'base',
  'scan',
  'arch',
  'crowns',
  'marks',
  'measure',
  'space',
  'reduction',
  'visits',
  'compare',
  'study',
  'casefile',
];
/** Packages each part may import; what is not listed is refused. `node:` stands for all of Node's own. */
const PACKAGES = {
  'src/core': ['zod', 'ml-matrix', 'meshoptimizer'],
  'src/core/scan/surfaceIndex.ts': ['three', 'three-mesh-bvh'],
  workers: ['comlink'],
  'workers/planner.worker.ts': ['comlink', 'highs'],
  'src/app': [
    'react',
    'react-dom',
    'react-aria-components',
    '@react-three/fiber',
    'three',
    'zustand',
    'zundo',
    'idb',
    'papaparse',
    'tinykeys',
    'zod',
    '@observablehq/plot',
  ],
  'src/cli': ['node:', 'zod', 'papaparse', 'highs', 'tsx'],
  'src/samples': ['node:'],
  'src/run': ['node:', 'vite'],
} as const satisfies Readonly<Record<string, readonly string[]>>;

interface Import {
  readonly file: string; // from the root, with /
  readonly line: number;
  readonly text: string;
  readonly target: string; // a path from the root for a relative import, else the package's name
  readonly isTypeOnly: boolean;
  readonly isLocal: boolean;
}

const filesUnder = (folder: string): string[] =>
  readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(ts|tsx|mts|mjs|js)$/.test(entry.name))
    .map((entry) => relative(ROOT, join(entry.parentPath, entry.name)).replaceAll('\\', '/'));

/** Source text with comments blanked, so that lines and columns stay. */
const withoutComments = (source: string): string =>
  source.replace(/\/\*[\s\S]*?\*\/|(?<=^|[\s;{}(),])\/\/[^\n]*/g, (comment) =>
    comment.replace(/[^\n]/g, ' '),
  );

const IMPORT =
  /(?:^|[;\n}])[ \t]*((?:import|export)\b(?:[^;'"`(]*?\bfrom)?[ \t]*(['"])([^'"\n]+)\2)|\bimport\(\s*(['"])([^'"\n]+)\4|\bnew URL\(\s*(['"])([^'"\n]+)\6\s*,\s*import\.meta\.url/g;

function importsIn(file: string, source: string): Import[] {
  const clean = withoutComments(source);
  // `new URL('../..', …)` names a folder, no file.
  const found = [...clean.matchAll(IMPORT)].filter(
    (match) => !match[7] || /\.[a-z0-9]+(\?.*)?$/.test(match[7]),
  );
  return found.map((match) => {
    const specifier = match[3] ?? match[5] ?? match[7];
    const start = match.index + match[0].search(/[a-z]/); // the match may begin with the line before
    const statement = match[1] ?? match[0];
    const isLocal = specifier.startsWith('.');
    const names = /\{([^}]*)\}/.exec(statement);
    return {
      file,
      line: clean.slice(0, start).split('\n').length,
      text: statement.replace(/\s+/g, ' ').trim(),
      target: isLocal
        ? relative(ROOT, join(ROOT, dirname(file), specifier.replace(/\?.*$/, ''))).replaceAll('\\', '/')
        : specifier.startsWith('@')
          ? specifier.split('/').slice(0, 2).join('/')
          : specifier.split('/')[0],
      isTypeOnly:
        /^(import|export)\s+type\b/.test(statement) ||
        (names !== null &&
          /^(import|export)\s*\{/.test(statement) &&
          names[1].split(',').every((name) => name.trim() === '' || /^type\s/.test(name.trim()))),
      isLocal,
    };
  });
}

const room = (path: string): string => path.split('/')[2];
const within = (path: string, ...folders: string[]): boolean =>
  folders.some((folder) => path === folder || path.startsWith(`${folder}/`));
const isWorker = (path: string): boolean => within(path, 'workers') && /\.worker\.ts$/.test(path);

/** Of the generator the page has the form of a recipe and of its truth, never what makes an arch. */
const PAGE_SAMPLES = [
  'src/samples/recipeCode.ts',
  'src/samples/ArchRecipe.ts',
  'src/samples/sampleTruth.ts',
  'src/samples/changeTruth.ts',
];

/** The page's end of its workers. */
const CLIENTS = [
  'workers/client.ts',
  'workers/samplesClient.ts',
  'workers/WorkerClient.ts',
  'workers/WorkerLink.ts',
];

/** Why a part may not import a package, or null. The nearest row of PACKAGES decides. */
function packageFault({ file, target }: Import): string | null {
  const part = Object.keys(PACKAGES)
    .filter((path) => within(file, path))
    .sort((a, b) => b.length - a.length)[0] as keyof typeof PACKAGES | undefined;
  if (!part) return null; // tests
  const allowed: readonly string[] = PACKAGES[part];
  if (allowed.includes(target.startsWith('node:') ? 'node:' : target)) return null;
  return `${target} is no package of ${part}`;
}

/** Why an import is against the table, or null. */
function fault(one: Import): string | null {
  const { file, target, isLocal, isTypeOnly } = one;
  if (!isLocal) {
    const why = packageFault(one);
    if (why) return why;
  }
  if (isLocal && within(target, 'tests') && !within(file, 'tests')) return 'nothing imports tests';
  if (isLocal && !within(file, 'tests') && within(target, 'src/run')) {
    if (!within(file, 'src/run')) return 'the run scripts stand alone';
  }
  if (within(file, 'src/core')) return coreFault(one);
  if (within(file, 'src/samples/makeDemoCase.ts')) {
    if (!isLocal) return null;
    return within(target, 'src/core') ? null : 'the demo reads scans as core does and knows no truth';
  }
  if (within(file, 'src/samples')) {
    if (within(target, 'src/samples/makeDemoCase.ts')) return 'the generator knows no demo';
    if (!isLocal) return null;
    return within(target, 'src/samples', 'src/core/base')
      ? null
      : 'the generator shares only base types with core';
  }
  if (within(file, 'src/run')) {
    return !isLocal || within(target, 'src/run') ? null : 'the run scripts stand alone';
  }
  if (within(file, 'src/cli')) {
    if (!isLocal) return null;
    return within(target, 'src/cli', 'src/core', 'src/samples') ? null : 'the commands have no page';
  }
  if (within(file, 'src/app')) {
    if (!isLocal) return null;
    if (isWorker(target)) return 'only a client starts a worker';
    if (within(target, ...PAGE_SAMPLES)) return null;
    if (within(target, 'workers') && !isTypeOnly && !within(target, ...CLIENTS))
      return 'the page imports core and the worker clients';
    return within(target, 'src/samples', 'src/cli') ? 'the page imports core and the worker clients' : null;
  }
  if (within(file, 'workers')) {
    if (!isLocal) {
      if (within(file, 'workers/contract.ts') && !isTypeOnly) return 'the contract holds types only';
      return null;
    }
    if (within(target, 'src/samples') && /^workers\/samples(\.worker|Work|Client|Contract)\.ts$/.test(file))
      return isTypeOnly || file === 'workers/samplesWork.ts' ? null : 'only the samples work makes samples';
    if (within(target, 'src/app', 'src/samples', 'src/cli')) return 'workers know core only';
    if (within(file, 'workers/contract.ts') && !isTypeOnly) return 'the contract holds types only';
    if (within(file, ...CLIENTS) && within(target, 'src/core') && !isTypeOnly)
      return within(target, 'src/core/base/refusal.ts') ? null : 'the client runs no core code but refusals';
    if (isWorker(file) && within(target, ...CLIENTS)) return 'a worker does not know its client';
  }
  return null;
}

function coreFault({ file, target, isLocal }: Import): string | null {
  if (!isLocal) return null;
  if (!within(target, 'src/core')) return 'core imports core only';
  const [mine, theirs] = [STORY.indexOf(room(file)), STORY.indexOf(room(target))];
  if (mine < 0 || theirs < 0) return 'the room is not in the story';
  return theirs <= mine ? null : `${room(target)} comes after ${room(file)} in the story`;
}

const IMPURE =
  /\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bfetch\(|\bconsole\.|\bdocument\.(?:createElement|getElement|querySelector|body)|\bwindow\.|\bperformance\.now\b|\blocalStorage\b|\bprocess\./;

const sources = ['src', 'workers', 'tests'].flatMap(filesUnder).map((file) => ({
  file,
  source: readFileSync(join(ROOT, file), 'utf8'),
}));

describe('import table', () => {
  it('is kept by every import', () => {
    const faults = sources
      .flatMap(({ file, source }) => importsIn(file, source))
      .flatMap((one) => {
        const why = fault(one);
        return why ? [`${one.file}:${one.line}  ${one.text}  — ${why}`] : [];
      });
    expect(faults.join('\n')).toBe('');
  });

  it('tells the story that DEVELOPERS.md tells, and every room is in it', () => {
    const developers = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
    expect(/reads as the story: \*\*([^*]+)\*\*/.exec(developers)![1].split(' → ')).toEqual(STORY);
    const rooms = readdirSync(join(ROOT, 'src/core'));
    expect([...rooms].sort()).toEqual([...STORY].sort());
  });

  it('has no circle of files, types included', () => {
    const next = new Map(
      sources.map(({ file, source }) => [
        file,
        importsIn(file, source)
          .filter((one) => one.isLocal)
          .map((one) => one.target),
      ]),
    );
    const done = new Set<string>();
    const circleFrom = (file: string, path: readonly string[]): readonly string[] | null => {
      if (path.includes(file)) return [...path.slice(path.indexOf(file)), file];
      if (done.has(file)) return null;
      for (const target of next.get(file) ?? []) {
        const circle = circleFrom(target, [...path, file]);
        if (circle) return circle;
      }
      done.add(file);
      return null;
    };
    const circles = [...next.keys()].map((file) => circleFrom(file, [])).filter((found) => found !== null);
    expect(circles).toEqual([]);
  });

  it('leaves no file above 400 lines', () => {
    const long = sources.flatMap(({ file, source }) => {
      const lineCount = source.split('\n').length - 1;
      return lineCount > 400 ? [`${file}: ${lineCount}`] : [];
    });
    expect(long).toEqual([]);
  });

  it('leaves no clock, chance, log, page or network in core', () => {
    const faults = sources
      .filter(({ file }) => within(file, 'src/core'))
      .flatMap(({ file, source }) =>
        withoutComments(source)
          .split('\n')
          .flatMap((line, i) => (IMPURE.test(line) ? [`${file}:${i + 1}  ${line.trim()}`] : [])),
      );
    expect(faults.join('\n')).toBe('');
  });

  it('names imports with their file endings', () => {
    const faults = sources
      .filter(({ file }) => within(file, 'src', 'workers'))
      .flatMap(({ file, source }) => importsIn(file, source))
      .filter((one) => one.isLocal && !/\.[a-z0-9]+$/.test(one.target))
      .map((one) => `${one.file}:${one.line}  ${one.text}`);
    expect(faults.join('\n')).toBe('');
  });

  it('sees every form of import', () => {
    const source = [
      "import a from './a.ts';",
      '// import x from "./comment.ts";',
      'import {',
      '  type B,',
      '  type C,',
      "} from '../space/b.ts';",
      "import 'react';",
      "export * from '../study/c.ts';",
      "export type { D } from '@scope/d/deep';",
      "const e = await import('./e.ts');",
      "new Worker(new URL('../../../workers/geometry.worker.ts', import.meta.url));",
      "import { type F, g } from '../base/f.ts';",
    ].join('\n');
    const found = importsIn('src/core/measure/x.ts', source);
    expect(found.map(({ line, target, isTypeOnly }) => [line, target, isTypeOnly])).toEqual([
      [1, 'src/core/measure/a.ts', false],
      [3, 'src/core/space/b.ts', true],
      [7, 'react', false],
      [8, 'src/core/study/c.ts', false],
      [9, '@scope/d', true],
      [10, 'src/core/measure/e.ts', false],
      [11, 'workers/geometry.worker.ts', false],
      [12, 'src/core/base/f.ts', false],
    ]);
    expect(found.map(fault)).toEqual([
      null,
      'space comes after measure in the story',
      'react is no package of src/core',
      'study comes after measure in the story',
      '@scope/d is no package of src/core',
      null,
      'core imports core only',
      null,
    ]);
  });

  it.each([
    ['src/core/scan/surfaceIndex.ts', "import { Ray } from 'three';", null],
    ['src/core/scan/weld.ts', "import { Ray } from 'three';", 'three is no package of src/core'],
    ['src/core/base/a.ts', "import x from '../../app/store.ts';", 'core imports core only'],
    ['src/core/base/a.ts', "import { readFile } from 'node:fs';", 'node:fs is no package of src/core'],
    [
      'workers/contract.ts',
      "import { Refusal } from '../src/core/base/refusal.ts';",
      'the contract holds types only',
    ],
    ['workers/contract.ts', "import type { ScanMesh } from '../src/core/scan/ScanMesh.ts';", null],
    ['workers/client.ts', "import { Refusal } from '../src/core/base/refusal.ts';", null],
    [
      'workers/client.ts',
      "import { weld } from '../src/core/scan/weld.ts';",
      'the client runs no core code but refusals',
    ],
    [
      'workers/geometry.worker.ts',
      "import { useStore } from '../src/app/store.ts';",
      'workers know core only',
    ],
    ['workers/geometry.worker.ts', "import 'react';", 'react is no package of workers'],
    ['workers/plannerWork.ts', "import highs from 'highs';", 'highs is no package of workers'],
    ['workers/planner.worker.ts', "import highs from 'highs';", null],
    [
      'src/app/x.tsx',
      "import { a } from '../../workers/openArch.ts';",
      'the page imports core and the worker clients',
    ],
    ['src/app/x.tsx', "import type { A } from '../../workers/contract.ts';", null],
    ['src/samples/a.ts', "import x from 'fast-check';", 'fast-check is no package of src/samples'],
    ['src/cli/a.ts', "import { a } from '../run/install.mjs';", 'the run scripts stand alone'],
    ['src/app/x.tsx', "import '../../workers/geometry.worker.ts';", 'only a client starts a worker'],
    ['src/app/x.tsx', "import { a } from '../samples/a.ts';", 'the page imports core and the worker clients'],
    ['src/app/x.tsx', "import { recipeCode } from '../samples/recipeCode.ts';", null],
    ['workers/samplesWork.ts', "import { makeArch } from '../src/samples/makeArch.ts';", null],
    [
      'workers/samplesClient.ts',
      "import { makeArch } from '../src/samples/makeArch.ts';",
      'only the samples work makes samples',
    ],
    [
      'workers/openArch.ts',
      "import { makeArch } from '../src/samples/makeArch.ts';",
      'workers know core only',
    ],
    [
      'src/samples/a.ts',
      "import { weld } from '../core/scan/weld.ts';",
      'the generator shares only base types with core',
    ],
    ['src/samples/a.ts', "import { jawOf } from '../core/base/tooth.ts';", null],
    ['src/samples/makeDemoCase.ts', "import { weld } from '../core/scan/weld.ts';", null],
    [
      'src/samples/makeDemoCase.ts',
      "import { archTruth } from './archTruth.ts';",
      'the demo reads scans as core does and knows no truth',
    ],
    ['src/cli/main.ts', "import { a } from '../app/a.ts';", 'the commands have no page'],
    ['src/core/base/a.ts', "import { a } from '../../../tests/support/a.ts';", 'nothing imports tests'],
  ])('judges %s: %s', (file, line, expected) => {
    expect(importsIn(file, line).map(fault)).toEqual([expected]);
  });
});
