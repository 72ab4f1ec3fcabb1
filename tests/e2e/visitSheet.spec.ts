import { expect, test } from '@playwright/test';
import {
  choosePrint,
  dueMm,
  firstStart,
  firstStartAgain,
  keptCase,
  LATER,
  openFollowUp,
  pages,
  panel,
} from './visitsPage.ts';

test.use({ actionTimeout: 30_000 });

test('the visit sheet is one page, A4 and Letter, with order, gauges, what is held back, ticks and cautions', async ({
  page,
}) => {
  await firstStart(page);
  for (const format of ['A4', 'Letter'] as const) {
    await choosePrint(page, ['Visit sheet']);
    await page.emulateMedia({ media: 'print' });
    const sheet = page.locator('.chairsheet');
    await expect(sheet.locator('tbody tr')).toHaveCount(11);
    for (const text of [
      'Visit 1, lower arch',
      `Cut in this visit ${dueMm.toFixed(1)} mm`,
      'Gauge to pass',
      'Polished',
      'Fluoride',
      'Initials',
      'Cautions',
    ])
      await expect(sheet).toContainText(text);
    const due = await sheet.locator('tbody tr td:nth-child(3)').allInnerTexts();
    expect(due.reduce((sum, text) => sum + Number(text), 0)).toBeCloseTo(dueMm, 9);
    expect(await pages(page, format)).toBe(1);
  }
  // Printing means the usual sheets again afterwards.
  await page.emulateMedia({ media: 'screen' });
  await page.emulateMedia({ media: 'print' });
  await expect(page.locator('.paper')).toContainText('Space account');
  await expect(page.locator('.chairsheet')).toHaveCount(0);
});

test('a tab closed right after a visit was said to be saved has it; a killed worker loses nothing of the case', async ({
  context,
}) => {
  test.setTimeout(300_000);
  const page = await context.newPage();
  // The workers of the page, so that one can be made to die in mid-work.
  await page.addInitScript(() => {
    const alive: Worker[] = [];
    Object.assign(window, { alive });
    const Plain = window.Worker;
    window.Worker = class extends Plain {
      constructor(...input: ConstructorParameters<typeof Worker>) {
        super(...input);
        alive.push(this);
      }
    };
  });
  await firstStart(page);
  await page.getByRole('button', { name: 'Record visit 1…' }).click();
  await page.getByRole('button', { name: /^All as planned/ }).click();
  await page.getByRole('button', { name: 'Record', exact: true }).click();
  await expect(page.locator('[role=status][aria-live]')).toContainText('recorded and saved');
  const kept = await keptCase(page);
  expect(kept.arches.lower?.visits).toHaveLength(11);

  await openFollowUp(page, LATER);
  await expect(page.getByText(/Crowns of the (first|later) scan/)).toBeVisible({ timeout: 60_000 });
  await page.evaluate(() => {
    for (const worker of (window as unknown as { alive: Worker[] }).alive) {
      worker.terminate();
      worker.dispatchEvent(new ErrorEvent('error', { message: 'killed' }));
    }
  });
  const refusal = page.getByRole('alertdialog');
  await expect(refusal).toContainText('was not taken', { timeout: 60_000 });
  await refusal.getByRole('button', { name: 'Close' }).click();
  expect(await keptCase(page)).toEqual(kept);

  await page.close();
  const again = await context.newPage();
  await firstStartAgain(again);
  await expect(panel(again)).toContainText(
    `11 contacts: planned ${dueMm.toFixed(2)} mm, recorded ${dueMm.toFixed(2)} mm`,
  );
  expect(await keptCase(again)).toEqual(kept);
  // A new worker takes the next call.
  await openFollowUp(again, LATER);
  await expect(again.getByRole('region', { name: /^Follow-up scan,/ })).toBeVisible({ timeout: 120_000 });
});
