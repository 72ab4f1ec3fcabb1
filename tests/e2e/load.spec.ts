import { readFile, writeFile } from 'node:fs/promises';
import { expect, type Page, test } from '@playwright/test';
import type { TestingSeam } from '../../src/app/scene/testingSeam.ts';
import { makeArchStrip } from '../support/meshes.ts';
import { binaryStl } from '../support/meshFiles.ts';
import { makeRandom } from '../support/random.ts';

const TRIANGLES = 1_000_000;
/** No task of the page's own main thread may take longer while a scan loads; software drawing is measured apart. */
const LONGEST_TASK_MS = 50;

interface TraceEvent {
  readonly name: string;
  readonly cat: string;
  readonly ph: string;
  readonly ts: number; // µs
  readonly dur?: number; // µs
  readonly tdur?: number; // µs of processor time: other programs on the machine do not count
  readonly pid: number;
  readonly tid: number;
  readonly args: {
    readonly name?: string;
    readonly data?: { readonly functionName?: string; readonly url?: string };
  };
  readonly id2?: { readonly local?: string };
}

interface Task {
  readonly ownMs: number;
  readonly cpuMs: number;
  readonly wallMs: number;
  readonly drawingMs: number;
  readonly atMs: number;
  readonly functions: string;
}

/** Notes every stretch of WebGL calls, so that software drawing can be told from the page's own work. */
async function noteDrawing(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const NOTED_MS = 0.1;
    const noted = <T>(call: () => T): T => {
      const start = performance.now();
      try {
        return call();
      } finally {
        const end = performance.now();
        if (end - start >= NOTED_MS) performance.measure('drawing', { start, end });
      }
    };
    const calls = WebGL2RenderingContext.prototype as unknown as Record<string, unknown>;
    for (const name of Object.getOwnPropertyNames(calls)) {
      const found = Object.getOwnPropertyDescriptor(calls, name);
      const call = found?.value as unknown;
      if (typeof call !== 'function' || name === 'constructor') continue;
      calls[name] = function (this: unknown, ...args: unknown[]) {
        return noted(() => (call as (...a: unknown[]) => unknown).apply(this, args));
      };
    }
    const { getContext } = HTMLCanvasElement.prototype;
    HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, ...args: unknown[]) {
      return noted(() => (getContext as (...a: unknown[]) => unknown).apply(this, args));
    } as typeof getContext;
  });
}

/** Tasks of the page's main thread, the one with the most work of its own first. */
function tasksOf(events: readonly TraceEvent[]): readonly Task[] {
  const main = events.find(
    (e) =>
      e.name === 'thread_name' &&
      e.args.name === 'CrRendererMain' &&
      events.some(({ pid, cat, name }) => pid === e.pid && cat.includes('user_timing') && name === 'drawing'),
  );
  if (!main) throw new Error('the trace has no main thread that drew anything');
  const own = events.filter((e) => e.pid === main.pid && e.tid === main.tid);
  const opened = new Map<string, number>();
  const drawings: (readonly [number, number])[] = [];
  for (const e of events) {
    if (e.pid !== main.pid || e.name !== 'drawing' || !e.cat.includes('user_timing')) continue;
    const id = e.id2?.local ?? '';
    if (e.ph === 'b') opened.set(id, e.ts);
    const from = opened.get(id);
    if (e.ph === 'e' && from !== undefined) drawings.push([from, e.ts]);
  }
  const firstTs = Math.min(...own.filter((e) => e.ts > 0).map((e) => e.ts));
  const calls = own.filter((e) => e.name === 'FunctionCall' && e.ph === 'X');
  return own
    .filter((e) => e.name.endsWith('RunTask') && e.ph === 'X' && (e.dur ?? 0) > 5000)
    .map((e): Task => {
      const [from, to] = [e.ts, e.ts + (e.dur ?? 0)];
      const wallMs = (e.dur ?? 0) / 1000;
      const cpuMs = (e.tdur ?? e.dur ?? 0) / 1000;
      const drawingMs =
        drawings.reduce((sum, [a, b]) => sum + Math.max(0, Math.min(to, b) - Math.max(from, a)), 0) / 1000;
      const inside = calls
        .filter((c) => c.ts >= from && c.ts < to)
        .sort((a, b) => (b.dur ?? 0) - (a.dur ?? 0))
        .slice(0, 3)
        .map(
          (c) =>
            `${c.args.data?.functionName || '?'} ${c.args.data?.url?.split('/').pop() ?? ''} ${((c.dur ?? 0) / 1000).toFixed(0)} ms`,
        );
      return {
        ownMs: cpuMs * Math.max(0, 1 - drawingMs / wallMs),
        cpuMs,
        wallMs,
        drawingMs,
        atMs: (from - firstTs) / 1000,
        functions: inside.join('; '),
      };
    })
    .sort((a, b) => b.ownMs - a.ownMs);
}

const told = (task: Task): string =>
  `own ${task.ownMs.toFixed(1)} ms (processor ${task.cpuMs.toFixed(1)}, wall ${task.wallMs.toFixed(1)}, drawing ${task.drawingMs.toFixed(1)}) at ${task.atMs.toFixed(0)} ms: ${task.functions || 'no script'}`;

test('a scan of a million triangles loads without a long task of our own', async ({
  page,
  browser,
}, info) => {
  test.setTimeout(240_000);
  const path = info.outputPath('million.stl');
  await writeFile(path, binaryStl(makeArchStrip(TRIANGLES, makeRandom(1))));
  await noteDrawing(page);
  await page.goto('./');
  await expect(page.getByRole('application')).toBeVisible({ timeout: 60_000 });
  await expect.poll(() => page.evaluate(() => 'archledger' in window)).toBe(true);
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'New case' }).click();
  await page.waitForTimeout(1000);

  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open scan…' }).click();
  await (await choosing).setFiles(path);
  const dialog = page.getByRole('dialog');
  await expect(dialog).toBeVisible();
  const tracePath = info.outputPath('trace.json');
  await browser.startTracing(page, {
    path: tracePath,
    categories: ['toplevel', 'devtools.timeline', 'blink.user_timing'],
  });
  const seen: string[] = [];
  await page.exposeFunction('sawProgress', (text: string) => seen.push(text));
  await page.evaluate(() => {
    const say = (window as unknown as { sawProgress: (text: string) => void }).sawProgress;
    new MutationObserver(() => {
      const text = document.querySelector('.reading__foot')?.textContent;
      if (text) say(text);
    }).observe(document.body, { childList: true, subtree: true, characterData: true });
  });
  await dialog.getByRole('button', { name: 'Upper arch' }).click();
  await expect(page.getByRole('application', { name: /Upper arch/ })).toBeVisible({ timeout: 120_000 });
  await expect
    .poll(
      () =>
        page.evaluate(() => {
          const canvas = document.querySelector('.scene__stage')?.getBoundingClientRect();
          const seam = (window as { archledger?: TestingSeam }).archledger;
          return seam && canvas ? seam.project([0, 0, 0]) !== null : false;
        }),
      { timeout: 120_000 },
    )
    .toBe(true);
  await expect(page.getByText('Preparing the surface…')).toHaveCount(0, { timeout: 60_000 });
  await page.waitForTimeout(3000);
  await browser.stopTracing();

  const { traceEvents } = JSON.parse(await readFile(tracePath, 'utf8')) as {
    traceEvents: readonly TraceEvent[];
  };
  const tasks = tasksOf(traceEvents);
  for (const task of tasks.slice(0, 5)) info.annotations.push({ type: 'task', description: told(task) });
  expect(tasks.length).toBeGreaterThan(0);
  expect(new Set(seen).size).toBeGreaterThan(1); // progress was shown
  expect(tasks[0].ownMs, told(tasks[0])).toBeLessThan(LONGEST_TASK_MS);
});
