import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import type { Server } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, type Page, test } from '@playwright/test';
import { build, preview } from 'vite';
import { readDocument } from '../../src/core/casefile/readDocument.ts';

// The page without a network, and a newer version of it: served from a folder of its own, so that the server can go
// away and the build can change beneath the page.

test.use({ serviceWorkers: 'allow' });

const DIST = process.env.ARCHLEDGER_DIST ?? 'dist';

interface Served {
  readonly url: string;
  readonly folder: string;
  readonly asked: string[]; // every request that reached the server
  readonly stop: () => Promise<void>;
}

/** A copy of the built page on a port of its own. */
async function serve(): Promise<Served> {
  const folder = mkdtempSync(join(tmpdir(), 'archledger-offline-'));
  cpSync(DIST, folder, { recursive: true });
  const server = await preview({
    build: { outDir: folder },
    logLevel: 'silent',
    preview: { port: 0, host: '127.0.0.1' },
  });
  const asked: string[] = [];
  (server.httpServer as Server).on('request', (request) => asked.push(`${request.method} ${request.url}`));
  let isUp = true;
  const stop = async (): Promise<void> => {
    if (isUp) await server.close();
    isUp = false;
  };
  return { url: server.resolvedUrls!.local[0], folder, asked, stop };
}

let served: Served;
test.beforeEach(async () => {
  served = await serve();
});
test.afterEach(async () => {
  await served.stop();
  rmSync(served.folder, { recursive: true, force: true });
});

const stage = (page: Page) => page.getByRole('application', { name: /Lower arch in 3D/ });

/** Until the whole page is kept and what it asks for is answered from there. */
const untilKept = (page: Page): Promise<void> =>
  page.evaluate(async () => {
    const { serviceWorker } = navigator;
    await serviceWorker.ready;
    if (serviceWorker.controller) return;
    await new Promise((done) => serviceWorker.addEventListener('controllerchange', done, { once: true }));
  });

test('after the first load everything works without network, and nothing is asked for', async ({
  page,
  context,
}) => {
  const demo = readDocument(await readFile('sample-meshes/lower-crowded.case.json', 'utf8'), 'case');
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(String(error)));
  await page.goto(served.url);
  await expect(stage(page)).toBeVisible();
  await untilKept(page);

  // With the network there, the whole job asks for nothing any more.
  served.asked.length = 0;
  await page.getByRole('tab', { name: 'Plan' }).click();
  await expect(page.getByText(/mm in all\./)).toBeVisible();
  await page.getByLabel('Case title').fill('Kept at hand');
  await page.getByLabel('Case title').press('Enter');
  await expect(page.getByText(/^Saved /)).toBeVisible();
  expect(served.asked).toEqual([]);

  await served.stop();
  await context.setOffline(true);
  await page.reload();
  await expect(stage(page)).toBeVisible();
  await expect(page.getByLabel('Case title')).toHaveValue('Kept at hand');

  // Another sample, both arches planned together by the solver, and the study: parts not loaded until now.
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'Sample arches…' }).click();
  await page.getByRole('button', { name: 'Open pair measured' }).click();
  await expect(page.getByLabel('Case title')).not.toHaveValue('Kept at hand');
  await expect(page.getByRole('radio', { name: 'Upper', exact: true })).toBeVisible();
  await page.getByRole('tab', { name: 'Plan' }).click();
  const both = page.getByRole('region', { name: 'Both arches', exact: true });
  await both.getByRole('radio', { name: 'Both together' }).click();
  await expect(both.getByRole('status')).toContainText('After the plan', { timeout: 60_000 });
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'Study…' }).click();
  await expect(page.getByRole('heading', { name: /study/i }).first()).toBeVisible();

  // Somebody new on this computer would see the demo.
  await page.evaluate(() => localStorage.clear());
  await page.reload();
  await expect(stage(page)).toBeVisible();
  await expect(page.getByLabel('Case title')).toHaveValue(demo.title);
  expect(faults).toEqual([]);
});

test('the page can be installed: manifest, name, icons of their sizes', async ({ page, request }) => {
  await page.goto(served.url);
  const href = await page.locator('link[rel=manifest]').getAttribute('href');
  const manifest = await (await request.get(new URL(href!, served.url).href)).json();
  expect(manifest).toMatchObject({ name: 'Archledger', display: 'standalone', start_url: './' });
  expect(manifest.icons.map((icon: { purpose?: string }) => icon.purpose)).toContain('maskable');
  for (const { src, sizes } of manifest.icons as { src: string; sizes: string }[]) {
    const answer = await request.get(new URL(src, served.url).href);
    expect(answer.ok(), src).toBe(true);
    if (!src.endsWith('.png')) continue;
    const bytes = await answer.body();
    expect(`${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}`, src).toBe(sizes);
  }
});

test('a newer build is offered in words, keeps the work, and is there at the next opening', async ({
  page,
  context,
}) => {
  /** Builds the page with another title into the folder that is served, as a new `npm start` would. */
  const renew = async (title: string): Promise<void> => {
    await build({
      logLevel: 'silent',
      build: { outDir: served.folder, emptyOutDir: true },
      plugins: [
        {
          name: 'other-title',
          transformIndexHtml: (html) => html.replace('<title>Archledger', `<title>${title}`),
        },
      ],
    });
  };
  await page.goto(served.url);
  await expect(stage(page)).toBeVisible();
  await untilKept(page);
  await expect(page).toHaveTitle('Archledger');

  await renew('Second');
  await page.reload();
  await expect(stage(page)).toBeVisible();
  const offer = page.getByText('A newer version of Archledger is ready.');
  await expect(offer).toBeVisible({ timeout: 60_000 });
  await expect(page).toHaveTitle('Archledger'); // nothing is loaded unasked
  const other = await context.newPage();
  await other.goto(served.url);
  await expect(stage(other)).toBeVisible();
  await expect(other).toHaveTitle('Archledger'); // while one tab works with the old version, so does the next

  // Work that cannot be saved is never given up for it.
  const load = page.getByRole('button', { name: 'Save and load it' });
  await page.evaluate(() => {
    const { put } = IDBObjectStore.prototype;
    IDBObjectStore.prototype.put = () => {
      throw new DOMException('full', 'QuotaExceededError');
    };
    Object.assign(window, { mendStorage: () => Object.assign(IDBObjectStore.prototype, { put }) });
  });
  await page.getByLabel('Case title').fill('Typed before');
  await page.getByLabel('Case title').press('Enter');
  await load.click();
  await expect(page.getByText('The newer version was not loaded.')).toBeVisible();
  await expect(page).toHaveTitle('Archledger');
  await page.evaluate(() => (window as unknown as { mendStorage: () => void }).mendStorage());
  await page.getByRole('button', { name: 'Try again' }).last().click();
  await expect(page).toHaveTitle('Second', { timeout: 60_000 });
  await expect(page.getByLabel('Case title')).toHaveValue('Typed before');
  await expect(offer).toHaveCount(0);
  await expect(other.getByText('Another tab has loaded a newer version of Archledger.')).toBeVisible();
  await expect(other).toHaveTitle('Archledger'); // nor is another tab thrown out of its work
  await other.close();

  // Fetched, put off and closed: the next opening has it from the start.
  await renew('Third');
  // The browser looks for a newer version when a page is opened; it may pass over one look so soon after the last.
  await expect(async () => {
    await page.reload();
    await expect(offer).toBeVisible({ timeout: 20_000 });
  }).toPass({ timeout: 90_000 });
  await page.getByRole('button', { name: 'Later', exact: true }).click();
  await expect(offer).toHaveCount(0);
  await page.close();
  const next = await context.newPage();
  await next.goto(served.url);
  await expect(next).toHaveTitle('Third', { timeout: 60_000 });
  await expect(next.getByLabel('Case title')).toHaveValue('Typed before');
});
