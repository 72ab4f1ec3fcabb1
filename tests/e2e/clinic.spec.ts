import { readFileSync } from 'node:fs';
import { expect, type Page, test } from '@playwright/test';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { graveFaults } from './graveFaults.ts';

// What a clinician meets first: a new patient's scan, what the numbers rest on, a small screen and fingers.

const demo = readDocument(readFileSync('sample-meshes/lower-crowded.case.json', 'utf8'), 'case');
const marks = demo.arches.lower!.readings[0].marks;

async function start(page: Page): Promise<void> {
  await page.goto('./');
  await expect(page.getByRole('application', { name: /arch in 3D/ })).toBeVisible({ timeout: 60_000 });
  await expect.poll(() => page.evaluate(() => 'archledger' in window)).toBe(true);
}

async function chooseScan(page: Page, file: string | { name: string; text: string }): Promise<void> {
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open scan…' }).click();
  await (await choosing).setFiles(
    typeof file === 'string'
      ? file
      : { name: file.name, mimeType: 'model/stl', buffer: Buffer.from(file.text) },
  );
}

test('a new patient begins a new case with the same press that names the jaw, and a refused file leaves all as it was', async ({
  page,
}) => {
  await start(page);
  await chooseScan(page, { name: 'broken.stl', text: 'no scan at all' });
  const asked = page.getByRole('dialog', { name: 'Which arch is this?' });
  // Neither is set beforehand, and both weigh the same.
  const weights = [];
  for (const [group, where] of [
    ['Begin a new case', 'in a new case'],
    [`Add to the case at hand, “${demo.title}”`, 'in this case'],
  ])
    for (const jaw of ['Upper', 'Lower']) {
      const button = asked
        .getByRole('group', { name: group })
        .getByRole('button', { name: `${jaw} arch, ${where}` });
      const box = (await button.boundingBox())!;
      weights.push(`${box.width}x${box.height} ${await button.getAttribute('class')}`);
    }
  expect(new Set(weights).size).toBe(1);
  expect(await graveFaults(page)).toEqual([]);

  await asked.getByRole('button', { name: 'Upper arch, in a new case' }).click();
  const refused = page.getByRole('alertdialog');
  await expect(refused).toContainText('The case at hand is as it was');
  await refused.getByRole('button', { name: 'Close' }).click();
  await expect(page.getByLabel('Case title')).toHaveValue(demo.title);
  await expect(page.getByText('28 of 28 points confirmed')).toBeVisible();
});

test('the account says of every figure whether its points are only proposed, until they are confirmed', async ({
  page,
}) => {
  await start(page);
  const panel = page.getByRole('tabpanel', { name: 'Account' });
  await expect(panel).toContainText('contact points marked on this scan');
  await chooseScan(page, 'sample-meshes/upper-crowded.stl');
  await page.getByRole('dialog').getByRole('button', { name: 'Upper arch, in a new case' }).click();
  await expect(panel).toContainText('contact points proposed on this scan, not yet confirmed', {
    timeout: 90_000,
  });
  await expect(panel).not.toContainText('marked on this scan');
  await page.getByRole('button', { name: /^Accept (the|all) / }).click();
  await expect(panel).toContainText(/not yet confirmed at \d+ of \d+ teeth|points marked on this scan/);
});

for (const hasTouch of [false, true]) {
  test(`on a screen of 1024 by 768 ${hasTouch ? 'touched' : 'with a mouse'} the tools stand in one row, clear of the arch`, async ({
    browser,
    baseURL,
  }) => {
    const context = await browser.newContext({
      ...(baseURL ? { baseURL } : {}),
      viewport: { width: 1024, height: 768 },
      hasTouch,
      reducedMotion: 'reduce',
    });
    const page = await context.newPage();
    await start(page);
    await page.waitForTimeout(500);
    const tools = page.getByRole('toolbar', { name: 'View and tools' });
    const boxes = await Promise.all(
      (await tools.locator('button').all()).map(async (button) => (await button.boundingBox())!),
    );
    const middles = boxes.map(({ y, height }) => y + height / 2);
    expect(Math.max(...middles) - Math.min(...middles)).toBeLessThan(3);
    // Fingers need more than a mouse.
    for (const { height, width } of boxes) {
      expect(height).toBeGreaterThanOrEqual(hasTouch ? 34 : 21);
      expect(width).toBeGreaterThanOrEqual(24);
    }
    const below = (await tools.boundingBox())!;
    const prompt = (await page.getByRole('group', { name: 'Marking' }).boundingBox())!;
    const points = await page.evaluate(
      (all) => all.map(({ pointMm }) => window.archledger!.project(pointMm)),
      marks,
    );
    for (const point of points) {
      expect(point!.y).toBeGreaterThan(below.y + below.height);
      expect(point!.y).toBeLessThan(prompt.y);
    }
    // Nothing is wider than the place it has.
    const cut = await page.evaluate(() =>
      [...document.querySelectorAll('.bar, .tabs__list, .tabs__panel, .strip__head, .chart')]
        .filter((element) => element.scrollWidth > element.clientWidth + 1)
        .map((element) => element.className),
    );
    expect(cut).toEqual([]);
    await context.close();
  });
}
