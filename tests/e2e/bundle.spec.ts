import { readdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { expect, test } from '@playwright/test';

// What the browser has to fetch before it can draw the page, and what has to wait until it is wanted.

const DIST = process.env.ARCHLEDGER_DIST ?? 'dist';

/** Most that may stand in the way of the first paint, kilobytes as they are sent (gzip). Raise it only with a reason. */
const FIRST_PAINT_KB = { scripts: 400, styles: 15 };
/** The largest part that is fetched later. */
const LATER_SCRIPT_KB = 260;

const sentKb = async (file: string): Promise<number> =>
  gzipSync(await readFile(join(DIST, file))).length / 1000;

/** Script and style files that the page itself names: fetched before anything is drawn. */
async function namedByPage(): Promise<readonly string[]> {
  const html = await readFile(join(DIST, 'index.html'), 'utf8');
  return [...html.matchAll(/(?:src|href)="\.\/(assets\/[^"]+\.(?:js|css))"/g)].map(([, file]) => file);
}

test('the first paint waits for the page’s own parts only, within its budget', async () => {
  const named = await namedByPage();
  const kb = { scripts: 0, styles: 0 };
  for (const file of named) kb[file.endsWith('.js') ? 'scripts' : 'styles'] += await sentKb(file);
  expect(kb.scripts).toBeGreaterThan(100);
  expect(kb.scripts, named.join(' ')).toBeLessThan(FIRST_PAINT_KB.scripts);
  expect(kb.styles).toBeLessThan(FIRST_PAINT_KB.styles);

  // Drawing, plots, solver, and the work of the workers come when they are wanted.
  const isIn = async (files: readonly string[], sign: string): Promise<boolean> =>
    (await Promise.all(files.map((file) => readFile(join(DIST, file), 'utf8')))).some((text) =>
      text.includes(sign),
    );
  const all = (await readdir(join(DIST, 'assets'))).map((file) => `assets/${file}`);
  const later = all.filter((file) => file.endsWith('.js') && !named.includes(file));
  for (const [part, sign] of [
    ['three', 'WebGLRenderer'],
    ['three', 'BufferGeometry'],
    ['three-mesh-bvh', 'MeshBVH'],
    ['Plot', 'plot-d6a7b5'],
    ['highs', 'highs.wasm'],
    ['the simplifier', 'meshopt_simplify'],
  ]) {
    expect(await isIn(named, sign), `${part} stands in the way of the first paint`).toBe(false);
    expect(await isIn(later, sign), `${part} is known by another sign now`).toBe(true);
  }
});

test('what is fetched later stays within its budget, and only what is known is large', async () => {
  const named = await namedByPage();
  const files = (await readdir(join(DIST, 'assets'))).map((file) => `assets/${file}`);
  for (const file of files.filter((name) => name.endsWith('.js') && !named.includes(name)))
    expect(await sentKb(file), file).toBeLessThan(LATER_SCRIPT_KB);
  const large = [];
  for (const file of files) if ((await stat(join(DIST, file))).size > 1_000_000) large.push(file);
  for (const file of large) expect(file).toMatch(/\.(ply|stl)$|highs.*\.wasm$/);
});
