import { readFile } from 'node:fs/promises';
import { expect, type Page, test } from '@playwright/test';
import { distance, mix, type Vec3 } from '../../src/core/base/Vec3.ts';
import type { ArchRecord } from '../../src/core/casefile/CaseDocument.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';

const TOOTH = 36;

const said = (page: Page) => page.locator('[role=status][aria-live]');

/** The lower arch as the case file says it. */
async function lowerArch(page: Page): Promise<ArchRecord> {
  const saving = page.waitForEvent('download');
  await page.keyboard.press('Control+s');
  const { lower } = readDocument(await readFile(await (await saving).path(), 'utf8'), 'case').arches;
  if (!lower) throw new Error('no lower arch');
  return lower;
}

const pointOf = (arch: ArchRecord, site: string): Vec3 | undefined =>
  arch.readings[arch.activeReading].marks.find((m) => m.tooth === TOOTH && m.site === site)?.pointMm;

const widthMm = (arch: ArchRecord): number =>
  distance(pointOf(arch, 'mesial') ?? [0, 0, 0], pointOf(arch, 'distal') ?? [0, 0, 0]);

/** Surface point under the middle of the picture, where the cross stands. */
async function surfaceAtCentre(page: Page): Promise<Vec3 | null> {
  const box = await page.getByRole('application', { name: /Lower arch in 3D/ }).boundingBox();
  if (!box) throw new Error('no stage');
  const centre = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  return page.evaluate(({ x, y }) => window.archledger?.surfaceAt(x, y) ?? null, centre);
}

test('one click brings back a crown that was said to be missing; the brush works by keys', async ({
  page,
}, info) => {
  // Without glides: a click in the middle of one would leave the view where it had come to.
  await page.emulateMedia({ reducedMotion: 'reduce' });
  await page.goto('./');
  const stage = page.getByRole('application', { name: /Lower arch in 3D/ });
  await expect(stage).toBeVisible({ timeout: 60_000 });
  const first = await lowerArch(page);
  const middle = mix(pointOf(first, 'mesial') ?? [0, 0, 0], pointOf(first, 'distal') ?? [0, 0, 0], 0.5);

  const cell = page.getByRole('button', { name: new RegExp(`^${TOOTH}, `) });
  await cell.click();
  await page.keyboard.press('m');
  await expect(cell).toHaveAccessibleName(/missing/);
  await page.getByRole('button', { name: 'Correct crown' }).click();
  const panel = page.getByRole('group', { name: 'Correct crown' });
  await expect(panel).toContainText(`this is ${TOOTH}`);
  await page.waitForTimeout(1500); // the crowns are found for being shown
  await expect(page.getByRole('progressbar', { name: /Proposing/ })).toBeHidden({ timeout: 60_000 });
  await expect.poll(() => surfaceAtCentre(page)).not.toBeNull();

  const at = await page.evaluate((point) => window.archledger?.project(point) ?? null, middle);
  if (!at) throw new Error('no picture');
  await page.mouse.click(at.x, at.y);
  await expect(said(page)).toContainText(`Crown of ${TOOTH} corrected`, { timeout: 60_000 });

  const clicked = await lowerArch(page);
  expect(clicked.chart.missing).not.toContain(TOOTH);
  expect(clicked.crownCorrections?.seeds.map(({ tooth }) => tooth)).toEqual([TOOTH]);
  info.annotations.push({
    type: 'width of the crown',
    description: `${widthMm(first).toFixed(2)} mm before, ${widthMm(clicked).toFixed(2)} mm by one click`,
  });
  console.log(info.annotations.at(-1)?.description);
  expect(Math.abs(widthMm(clicked) - widthMm(first))).toBeLessThan(0.5);
  // Marks of other teeth are untouched.
  const others = (arch: ArchRecord) =>
    arch.readings[arch.activeReading].marks.filter((mark) => mark.tooth !== TOOTH);
  expect(others(clicked)).toEqual(others(first));

  await stage.focus();
  await page.keyboard.press('b');
  await expect(said(page)).toContainText('Cross shown');
  await expect.poll(() => surfaceAtCentre(page)).not.toBeNull();
  await page.keyboard.press('Alt+b');
  await expect(said(page)).toContainText(`Crown of ${TOOTH} corrected`, { timeout: 60_000 });
  const painted = await lowerArch(page);
  expect(painted.crownCorrections?.painted.map(({ tooth }) => tooth)).toEqual([0]);

  await page.getByRole('button', { name: /^Undo/ }).click();
  await page.getByRole('button', { name: /^Undo/ }).click();
  const undone = await lowerArch(page);
  expect(undone.chart.missing).toContain(TOOTH);
  expect(undone.crownCorrections).toBeUndefined();
});
