import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { chromium } from 'playwright';
import { build, preview } from 'vite';
import { type BenchRow, SIZES } from './BenchCase.ts';

// `npx tsx tests/bench/browserBench.ts` loads generated scans in a worker of Chromium, stock way beside ours, and
// watches the page's main thread while the real client opens a 1,000,000-triangle file. Prints the rows as JSON.
interface PageBench {
  load(triangles: number, rounds: number): Promise<{ ours: number[]; stock: number[] }>;
  openFile(triangles: number): Promise<{ openMs: number; longestTaskMs: number; reports: number }>;
}

const ROUNDS = 3;
const root = resolve(import.meta.dirname, 'browser');
const outDir = mkdtempSync(join(tmpdir(), 'archledger-bench-'));
const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1];

const settings = { root, configFile: false, logLevel: 'error', worker: { format: 'es' } } as const;
await build({ ...settings, build: { outDir, emptyOutDir: true, target: 'es2022' } });
const server = await preview({ ...settings, build: { outDir }, preview: { port: 0, host: '127.0.0.1' } });
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM_PATH ?? '/usr/bin/chromium',
  args: ['--no-sandbox'],
});
try {
  const page = await browser.newPage();
  page.on('pageerror', (error) => process.stderr.write(`${error.message}\n`));
  await page.goto(server.resolvedUrls?.local[0] ?? '');
  await page.waitForFunction(() => 'bench' in globalThis);
  const rows: BenchRow[] = [];
  for (const triangles of SIZES) {
    process.stderr.write(`load in Chromium's worker, ${triangles.toLocaleString('en')} triangles …\n`);
    const { ours, stock } = await page.evaluate(
      ([n, rounds]) => (globalThis as unknown as { bench: PageBench }).bench.load(n, rounds),
      [triangles, ROUNDS] as const,
    );
    const [oursMs, referenceMs] = [median(ours), median(stock)];
    rows.push({
      name: "load in Chromium's worker",
      triangles,
      oursMs,
      referenceMs,
      ratio: referenceMs / oursMs,
    });
  }
  const main = await page.evaluate(() =>
    (globalThis as unknown as { bench: PageBench }).bench.openFile(1_000_000),
  );
  process.stdout.write(
    `${JSON.stringify({ rows, mainThread: { triangles: 1_000_000, ...main } }, null, 1)}\n`,
  );
} finally {
  await browser.close();
  await server.close();
  rmSync(outDir, { recursive: true, force: true });
}
