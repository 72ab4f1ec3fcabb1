import { readFile } from 'node:fs/promises';
import { expect, type Page, test } from '@playwright/test';
import type { SampleTruth } from '../../src/samples/sampleTruth.ts';
import { bestAim, placeByKeys } from './aim.ts';
import { graveFaults } from './graveFaults.ts';

// Two blinded readings of one scan, one by mouse and one by keys alone, from their start to the statistics. The story
// reads the truth to know where a practised eye would click.

const bar = (page: Page) => page.getByRole('group', { name: 'Blinded reading' });
const prompt = (page: Page) => page.getByRole('group', { name: 'Marking' });
const stage = (page: Page) => page.getByRole('application', { name: /Lower arch in 3D/ });
const said = (page: Page) => page.locator('[role=status][aria-live=polite]').first();
const figuresAside = (page: Page) => page.getByRole('tab', { name: 'Account' });

interface Site {
  readonly tooth: number;
  readonly site: 'mesial' | 'distal';
}

async function askedSite(page: Page): Promise<Site | null> {
  const text = (await prompt(page).textContent()) ?? '';
  const match = /Mark the\s+(mesial|distal) contact point of (\d+)/.exec(text);
  return match ? { site: match[1] as Site['site'], tooth: Number(match[2]) } : null;
}

/** Teeth in the order in which they were asked for. */
const toothOrder = (sites: readonly Site[]): readonly number[] => [
  ...new Set(sites.map(({ tooth }) => tooth)),
];

async function startBlinded(page: Page, observer: string): Promise<void> {
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'Readings of this arch…' }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('textbox', { name: /^Observer/ }).fill(observer);
  // A repeat is blinded unless it is said otherwise.
  await expect(dialog.getByRole('switch', { name: /^Blinded/ })).toBeChecked();
  await dialog.getByRole('button', { name: 'Start a new reading' }).click();
}

test('two blinded readings, by mouse and by keys, from start to statistics', async ({ page }) => {
  test.setTimeout(420_000);
  const problems: string[] = [];
  page.on('pageerror', (error) => problems.push(error.message));
  const truth: SampleTruth = JSON.parse(await readFile('sample-meshes/lower-crowded.truth.json', 'utf8'));
  const pointOf = ({ tooth, site }: Site) => {
    const own = truth.teeth.find((t) => t.tooth === tooth)!;
    return site === 'mesial' ? own.mesialMm : own.distalMm;
  };
  await page.goto('./');
  await expect(page.getByText('28 of 28 points confirmed')).toBeVisible({ timeout: 60_000 });
  await startBlinded(page, 'Ana');

  const first: Site[] = [];
  await test.step('earlier marks are hidden, nothing is proposed, no figure is seen or said', async () => {
    await expect(bar(page)).toContainText('0 of 28 points are marked');
    await expect(page.getByText('0 of 28 points confirmed')).toBeVisible();
    await expect(figuresAside(page)).toBeHidden();
    await expect(page.getByRole('region', { name: /^Strip/ })).toBeHidden();
    await expect(page.getByText('Figures are out of sight')).toBeVisible();
    await expect(page.getByRole('button', { name: /Propose/ })).toHaveCount(0);
    await expect(said(page)).toContainText('Blinded reading 1 of Ana started');
    expect(await graveFaults(page)).toEqual([]);
  });

  await test.step('the first reading is marked by mouse, led by chance', async () => {
    await prompt(page).getByRole('button', { name: 'Start marking' }).click();
    await stage(page).focus();
    for (let placed = 0; placed < 28; placed++) {
      const site = await askedSite(page);
      if (!site) throw new Error(`the prompt asks for nothing after ${placed} marks`);
      first.push(site);
      const aim = await bestAim(page, pointOf(site));
      await page.mouse.click(aim.x, aim.y);
      await expect(bar(page)).toContainText(`${placed + 1} of 28 points are marked`);
      expect((await said(page).textContent()) ?? '').not.toMatch(/\d\.\d/);
    }
    const teeth = toothOrder(first);
    expect(teeth).toHaveLength(14);
    expect(teeth).not.toEqual([47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37]);
    await expect(figuresAside(page)).toBeHidden();
    await page.getByRole('button', { name: 'Finish, then repeat' }).click();
    await expect(bar(page)).toContainText('Blinded reading 2, Ana');
    await expect(bar(page)).toContainText('0 of 28 points are marked');
  });

  await test.step('the repeat survives a reload, still blind', async () => {
    await expect(page.getByText(/^Saved/)).toBeVisible();
    await page.reload();
    await expect(bar(page)).toContainText('0 of 28 points are marked', { timeout: 60_000 });
    await expect(figuresAside(page)).toBeHidden();
  });

  await test.step('the repeat is marked by keys alone, in another order', async () => {
    await expect(stage(page)).toBeVisible({ timeout: 60_000 });
    await stage(page).focus();
    await page.keyboard.press('m');
    const second: Site[] = [];
    for (let placed = 0; placed < 28; placed++) {
      const site = await askedSite(page);
      if (!site) throw new Error(`the prompt asks for nothing after ${placed} marks`);
      second.push(site);
      await placeByKeys(page, pointOf(site), async () =>
        ((await bar(page).textContent()) ?? '').includes(`${placed + 1} of 28 points`),
      );
    }
    expect(toothOrder(second)).not.toEqual(toothOrder(first));
  });

  await test.step('finished by keys; the two readings stand side by side with their statistics', async () => {
    await page.getByRole('button', { name: 'Finish and compare' }).focus();
    await page.keyboard.press('Enter');
    await expect(page.getByRole('heading', { name: 'Study', exact: true })).toBeVisible();
    await expect(page.getByRole('button', { name: /First reading/ })).toContainText('Ana, reading 1');
    await expect(page.getByRole('button', { name: /Second reading/ })).toContainText('Ana, reading 2');
    await expect(page.getByText(/Ana, reading 1 − Ana, reading 2: 14 pairs/)).toBeVisible();
    const pairs = page.getByRole('table', { name: 'Figures of all pairs' });
    const dahlberg = await pairs
      .getByRole('row', { name: /^Dahlberg/ })
      .getByRole('cell')
      .first()
      .textContent();
    expect(Number(dahlberg)).toBeGreaterThan(0);
    expect(Number(dahlberg)).toBeLessThan(2);
    // The demo's own reading is the third; all three are compared together, Ana's repeats apart.
    const all = page.getByRole('table', { name: 'Figures of all readings together' });
    const own = all.getByRole('row', { name: /^SD within subjects, the same observer, mm/ });
    expect(Number(await own.getByRole('cell').first().textContent())).toBeCloseTo(Number(dahlberg), 2);
    await expect(page.getByRole('img', { name: /Each of 3 readings/ })).toBeVisible();
    await page
      .getByRole('group', { name: 'Readings compared all together' })
      .getByText(/Demo reading/)
      .click();
    await expect(all).toHaveCount(0);
    expect(await graveFaults(page)).toEqual([]);
  });

  await test.step('back at the arch the figures are those of the finished reading', async () => {
    await page.getByRole('button', { name: 'Back to the arch' }).click();
    await expect(bar(page)).toHaveCount(0);
    await expect(figuresAside(page)).toBeVisible();
    await expect(page.getByText('28 of 28 points confirmed')).toBeVisible();
  });
  expect(problems).toEqual([]);
});
