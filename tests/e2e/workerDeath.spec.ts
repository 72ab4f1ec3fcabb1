import { writeFile } from 'node:fs/promises';
import { expect, type Page, test } from '@playwright/test';
import type { TestingSeam } from '../../src/app/scene/testingSeam.ts';
import { makeArchStrip } from '../support/meshes.ts';
import { binaryStl } from '../support/meshFiles.ts';
import { makeRandom } from '../support/random.ts';

// A worker can die at any moment: killed by the browser, out of memory, a fault of ours. Whatever it was at, the page
// says so and what to do, the case is as it was, and the next try has a fresh worker. Marks are picked and snapped on
// the page itself, and measures are made there: no worker is in that way.

/** How a worker dies: with an error the browser tells of, or without a word. */
type Death = 'told' | 'silent';

/** Which call, by the name of the worker's function, is to die of what: at once, or as it tells of a stage. */
interface Doom {
  readonly call: string;
  readonly times: number;
  readonly death: Death;
  readonly stage?: string;
}

interface Reaper {
  doom: Doom | null;
  killed: number;
}

declare global {
  interface Window {
    reaper: Reaper;
  }
}

/** Puts a worker class on the page that kills itself as it is told; no hook of the program's own is used. */
async function doomWorkers(page: Page, first: Doom | null = null): Promise<void> {
  await page.addInitScript((doom) => {
    const reaper: Reaper = { doom, killed: 0 };
    window.reaper = reaper;
    // A progress callback goes to the worker as one end of a channel; what arrives at the other end is read here.
    const otherEnd = new Map<unknown, MessagePort>();
    const Channel = window.MessageChannel;
    window.MessageChannel = class extends Channel {
      constructor() {
        super();
        otherEnd.set(this.port2, this.port1);
      }
    };
    const Plain = window.Worker;
    window.Worker = class extends Plain {
      override postMessage(message: unknown, ...rest: unknown[]): void {
        const { type, path } = message as { type?: string; path?: readonly string[] };
        const ports = (rest[0] ?? []) as readonly unknown[];
        const now = reaper.doom;
        const isDoomed = now && type === 'APPLY' && path?.[0] === now.call && now.times > 0;
        const kill = (): void => {
          if (!now || !isDoomed) return;
          reaper.doom = { ...now, times: now.times - 1 };
          reaper.killed++;
          this.terminate();
          if (now.death === 'told')
            this.dispatchEvent(
              new ErrorEvent('error', { message: 'killed for the story', cancelable: true }),
            );
        };
        let isDead = false;
        if (isDoomed && now.stage)
          for (const port of ports)
            otherEnd.get(port)?.addEventListener('message', ({ data }) => {
              if (isDead || data?.argumentList?.[0]?.value?.stage !== now.stage) return;
              isDead = true;
              kill();
            });
        (super.postMessage as (...input: unknown[]) => void)(message, ...rest);
        if (isDoomed && !now.stage) kill();
      }
    };
  }, first);
}

const doom = (page: Page, next: Doom | null): Promise<void> =>
  page.evaluate((wanted) => {
    window.reaper.doom = wanted;
    window.reaper.killed = 0;
  }, next);

const killed = (page: Page): Promise<number> => page.evaluate(() => window.reaper.killed);

/** Faults nobody caught, and the notice that would tell of one. */
function faultsOf(page: Page): string[] {
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(String(error)));
  return faults;
}

async function chooseScan(page: Page, path: string): Promise<void> {
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open scan…' }).click();
  await (await choosing).setFiles(path);
  await page.getByRole('dialog').getByRole('button', { name: 'Upper arch, in this case' }).click();
}

const lowerArch = (page: Page) => page.getByRole('application', { name: /Lower arch in 3D/ });
const upperArch = (page: Page) => page.getByRole('application', { name: /Upper arch in 3D/ });
/** True once the scan itself is on show, not only its place. */
const isDrawn = (page: Page): Promise<boolean> =>
  page.evaluate(() => {
    const seam = (window as { archledger?: TestingSeam }).archledger;
    return seam ? seam.project([0, 0, 0]) !== null : false;
  });

const balance = async (page: Page): Promise<string> => {
  await page.getByRole('tab', { name: 'Account' }).click();
  return (await page.getByRole('tabpanel').textContent()) ?? '';
};

test('a worker that dies while a scan is opened: said, the case as it was, the next try works', async ({
  page,
}, info) => {
  test.setTimeout(240_000);
  const path = info.outputPath('strip.stl');
  await writeFile(path, binaryStl(makeArchStrip(400_000, makeRandom(1))));
  const faults = faultsOf(page);
  await doomWorkers(page);
  await page.goto('./');
  await expect(lowerArch(page)).toBeVisible({ timeout: 60_000 });
  const before = await balance(page);
  for (const stage of [undefined, 'file', 'read', 'check', 'index', 'frame', 'display']) {
    await doom(page, { call: 'open', times: 1, death: 'told', stage });
    await chooseScan(page, path);
    const refusal = page.getByRole('alertdialog');
    await expect(refusal, stage).toContainText('strip.stl was not opened', { timeout: 60_000 });
    await expect(refusal).toContainText(/The worker stopped.*Try again; a smaller scan needs less memory\./s);
    expect(await killed(page)).toBe(1);
    await refusal.getByRole('button', { name: 'Close' }).click();
    expect(await balance(page)).toBe(before);
  }
  // One that dies without a word is ended by the user.
  await doom(page, { call: 'open', times: 1, death: 'silent' });
  await chooseScan(page, path);
  await page.getByRole('button', { name: 'Cancel' }).click();
  await expect(page.getByRole('button', { name: 'Cancel' })).toHaveCount(0);
  expect(await balance(page)).toBe(before);
  await chooseScan(page, path);
  await expect(upperArch(page)).toBeVisible({ timeout: 120_000 });
  expect(faults).toEqual([]);
});

test('a worker that dies as the kept case is brought back is given the scan once more', async ({ page }) => {
  test.setTimeout(240_000);
  const faults = faultsOf(page);
  await doomWorkers(page, { call: 'open', times: 1, death: 'told' });
  await page.goto('./');
  await expect.poll(() => killed(page), { timeout: 60_000 }).toBe(1);
  await expect.poll(() => isDrawn(page), { timeout: 60_000 }).toBe(true);
  await expect(page.getByRole('alertdialog')).toHaveCount(0);
  const before = await balance(page);

  // Twice in a row: said, with the numbers standing, and one press brings it back.
  await page.close();
  const again = await page.context().newPage();
  const later = faultsOf(again);
  await doomWorkers(again, { call: 'open', times: 2, death: 'told' });
  await again.goto('./');
  const refusal = again.getByRole('alertdialog');
  await expect(refusal).toContainText('could not be brought back', { timeout: 60_000 });
  await refusal.getByRole('button', { name: 'Close' }).click();
  await expect(again.getByText('The lower scan is not at hand.')).toBeVisible();
  await again.getByRole('button', { name: 'Try again' }).click();
  await expect.poll(() => isDrawn(again), { timeout: 60_000 }).toBe(true);
  await expect(again.getByText('The lower scan is not at hand.')).toHaveCount(0);
  expect(await balance(again)).toBe(before);
  expect([...faults, ...later]).toEqual([]);
});

test('a worker that dies over a proposal, a course or a plan: said, and the next try works', async ({
  page,
}) => {
  test.setTimeout(300_000);
  const faults = faultsOf(page);
  await doomWorkers(page);
  await page.goto('./');
  await expect(lowerArch(page)).toBeVisible({ timeout: 60_000 });
  const before = await balance(page);

  await test.step('finding the crowns, of themselves and by the button', async () => {
    await doom(page, { call: 'propose', times: 1, death: 'told', stage: 'crowns' });
    await page.getByRole('tab', { name: 'Course' }).click();
    const said = page.getByRole('alert').filter({ hasText: 'No crowns could be told apart.' });
    await expect(said).toContainText('The worker stopped', { timeout: 60_000 });
    expect(await killed(page)).toBe(1);
    // The fresh worker has not got the scan: it is opened there again from the bytes at hand.
    await doom(page, { call: 'course', times: 1, death: 'told' });
    await said.getByRole('button', { name: 'Try again' }).click();
  });

  await test.step('gaps between the crowns’ surfaces', async () => {
    const said = page.getByRole('alert').filter({ hasText: 'The worker stopped' });
    await expect(said).toContainText('the gaps shown are those by widths', { timeout: 120_000 });
    expect(await killed(page)).toBe(1);
    await page.getByRole('button', { name: 'Compute them' }).click();
    await expect(page.getByRole('radio', { name: 'Between surfaces' })).toBeEnabled({ timeout: 120_000 });
  });

  expect(await balance(page)).toBe(before);

  await test.step('planning: once is mended unseen, twice is said', async () => {
    await page.getByRole('tab', { name: 'Plan' }).click();
    const visits = page.getByRole('textbox', { name: 'Visits', exact: true });
    await expect(page.getByRole('heading', { name: 'By contact and visit' })).toBeVisible();
    await doom(page, { call: 'plan', times: 1, death: 'told' });
    await visits.fill('5');
    await visits.press('Enter');
    await expect.poll(() => killed(page)).toBe(1);
    await expect(page.getByRole('columnheader', { name: /^visit 5$/ }).first()).toBeVisible();
    await doom(page, { call: 'plan', times: 2, death: 'told' });
    await visits.fill('6');
    await visits.press('Enter');
    const why = page.getByRole('region', { name: 'Why there is no plan' });
    await expect(why).toContainText(/the worker stopped.*Try again/i);
    await why.getByRole('button', { name: 'Plan again' }).click();
    await expect(why).toHaveCount(0);
    await expect(page.getByRole('columnheader', { name: /^visit 6$/ }).first()).toBeVisible();
  });
  expect(faults).toEqual([]);
});

test('a solver that dies over both arches, and a worker over a made arch: said, and the next try works', async ({
  page,
}) => {
  test.setTimeout(300_000);
  const faults = faultsOf(page);
  await doomWorkers(page);
  await page.goto('./');
  await expect(lowerArch(page)).toBeVisible({ timeout: 60_000 });
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'Sample arches…' }).click();
  await page.getByRole('button', { name: 'Open pair measured' }).click();
  await page.getByRole('tab', { name: 'Plan' }).click();
  const both = page.getByRole('region', { name: 'Both arches', exact: true });
  await doom(page, { call: 'planBoth', times: 2, death: 'told' });
  await both.getByRole('radio', { name: 'Both together' }).click();
  const why = page.getByRole('region', { name: 'Why there is no plan' });
  await expect(why).toContainText('he worker stopped', { timeout: 60_000 });
  expect(await killed(page)).toBe(2);
  await why.getByRole('button', { name: 'Plan again' }).click();
  await expect(both.getByRole('status')).toContainText('After the plan', { timeout: 60_000 });

  await doom(page, { call: 'make', times: 1, death: 'told' });
  await page.getByRole('button', { name: /^Lessons/ }).click();
  await page.getByText('Make an arch for a class').click();
  await page.getByRole('button', { name: 'Use this arch' }).click();
  await page.getByRole('button', { name: /^Begin: The account/ }).click();
  const refusal = page.getByRole('alertdialog');
  await expect(refusal).toContainText('The lesson could not be opened', { timeout: 60_000 });
  expect(await killed(page)).toBe(1);
  await refusal.getByRole('button', { name: 'Close' }).click();
  await expect(both.getByRole('status')).toContainText('After the plan');
  if (!(await page.getByRole('button', { name: /^Begin: The account/ }).isVisible()))
    await page.getByRole('button', { name: /^Lessons/ }).click();
  await page.getByRole('button', { name: /^Begin: The account/ }).click();
  await expect(page.getByRole('textbox', { name: 'Space by eye' })).toBeVisible({ timeout: 120_000 });
  expect(faults).toEqual([]);
});

test('a worker whose script cannot be fetched is told of', async ({ page }) => {
  const faults = faultsOf(page);
  await page.route(/geometry\.worker.*\.js$/, (route) => route.abort());
  await page.goto('./');
  const refusal = page.getByRole('alertdialog');
  await expect(refusal).toContainText('could not be brought back', { timeout: 60_000 });
  await expect(refusal).toContainText(/The worker stopped.*could not be started/s);
  await refusal.getByRole('button', { name: 'Close' }).click();
  await page.unroute(/geometry\.worker.*\.js$/);
  await page.getByRole('button', { name: 'Try again' }).click();
  await expect.poll(() => isDrawn(page), { timeout: 60_000 }).toBe(true);
  expect(faults).toEqual([]);
});
