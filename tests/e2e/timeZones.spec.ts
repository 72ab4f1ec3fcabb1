import { expect, type Page, test } from '@playwright/test';

// A visit has a day, not a moment: the day on the wall where it was recorded, and the same day wherever and whenever
// the case is opened. At midnight, on days an hour is missing or doubled, and across the line of dates.

/** A clock somewhere, the day it shows, and the same day in words. */
const CLOCKS = [
  // half an hour after midnight of the day the clock is put forward; still the day before in Greenwich
  { zone: 'Europe/Berlin', now: '2026-03-28T23:30:00Z', day: '2026-03-29', said: '29 March 2026' },
  // the doubled hour of the day it is put back
  { zone: 'America/New_York', now: '2026-11-01T06:30:00Z', day: '2026-11-01', said: '1 November 2026' },
  // the first and the last place to see a day
  { zone: 'Pacific/Kiritimati', now: '2025-12-31T10:05:00Z', day: '2026-01-01', said: '1 January 2026' },
  { zone: 'Pacific/Pago_Pago', now: '2026-01-01T10:55:00Z', day: '2025-12-31', said: '31 December 2025' },
] as const;

async function openVisits(page: Page, now: string): Promise<void> {
  await page.clock.setFixedTime(now);
  await page.goto('./');
  await expect(page.getByRole('application', { name: /Lower arch in 3D/ })).toBeVisible({ timeout: 60_000 });
  await page.getByRole('tab', { name: 'Visits' }).click();
}

const recordedDay = (page: Page) => page.getByRole('tabpanel', { name: 'Visits' });

test('the day of a visit is that of the wall clock, and stays it in every zone', async ({
  browser,
}, info) => {
  test.setTimeout(400_000);
  const { baseURL } = info.project.use;
  for (const [i, { zone, now, day, said }] of CLOCKS.entries()) {
    const context = await browser.newContext({
      timezoneId: zone,
      baseURL,
      viewport: { width: 1440, height: 900 },
    });
    const page = await context.newPage();
    await openVisits(page, now);
    await page.getByRole('button', { name: 'Record visit 1…' }).click();
    await expect(page.getByRole('dialog').locator('input[type=date]'), zone).toHaveValue(day);
    await page.getByRole('button', { name: /^All as planned/ }).click();
    await page.getByRole('button', { name: 'Record', exact: true }).click();
    await expect(recordedDay(page)).toContainText(said);
    const saving = page.waitForEvent('download');
    await page.keyboard.press('Control+s');
    const file = info.outputPath(`${i}.case.json`);
    await (await saving).saveAs(file);
    // The same browser, opened again at another hour.
    await expect(page.getByText(/^Saved /)).toBeVisible();
    await openVisits(page, new Date(Date.parse(now) + 5 * 3_600_000).toISOString());
    await expect(recordedDay(page)).toContainText(said);
    await context.close();

    // The case file on the other side of the world.
    const { zone: elsewhere } = CLOCKS[(i + 2) % CLOCKS.length];
    const far = await browser.newContext({ timezoneId: elsewhere, baseURL });
    const there = await far.newPage();
    await openVisits(there, now);
    const choosing = there.waitForEvent('filechooser');
    await there.getByRole('button', { name: /^Case/ }).click();
    await there.getByRole('menuitem', { name: /^Open case file/ }).click();
    await (await choosing).setFiles(file);
    await there.getByRole('tab', { name: 'Visits' }).click();
    await expect(recordedDay(there), `${zone} seen in ${elsewhere}`).toContainText(said);
    await far.close();
  }
});
