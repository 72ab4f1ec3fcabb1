import { expect, type Page, test } from '@playwright/test';
import { graveFaults } from './graveFaults.ts';
import { walkTo } from './keyWalk.ts';

// From a scan on the disk to the plan on paper, without a pointer. No other arch's truth or case is read.

const SAMPLE = 'sample-meshes/upper-crowded.stl';

/** What the sheets said at the moment the browser was asked to print. */
const printed = (page: Page): Promise<string> =>
  page.evaluate(() => (window as { printedText?: string }).printedText ?? '');

test('a scan is opened, reviewed, planned and printed with the keyboard alone', async ({ page }) => {
  const problems: string[] = [];
  page.on('pageerror', (error) => problems.push(error.message));
  await page.addInitScript(() => {
    // As a browser does it: the sheets are built on the event before, and read then.
    window.print = () => {
      dispatchEvent(new Event('beforeprint'));
      const text = document.querySelector<HTMLElement>('.paper')?.textContent ?? '';
      (window as { printedText?: string }).printedText = text;
      dispatchEvent(new Event('afterprint'));
    };
  });
  await page.goto('./');
  await expect(page.getByRole('region', { name: 'Balance' })).toContainText('Space shortage', {
    timeout: 60_000,
  });

  await test.step('the scan is chosen and its jaw said', async () => {
    const choosing = page.waitForEvent('filechooser');
    await page.keyboard.press('Control+o');
    await (await choosing).setFiles(SAMPLE);
    await expect(page.getByRole('dialog', { name: 'Which arch is this?' })).toBeVisible();
    await walkTo(page, 'button', /^Upper arch, in a new case/, 8);
    await page.keyboard.press('Enter');
    await expect(page.getByRole('application', { name: /Upper arch in 3D/ })).toBeVisible({
      timeout: 60_000,
    });
    await expect(page.getByRole('group', { name: 'Proposed marks' })).toContainText(/\d+ contact points/, {
      timeout: 60_000,
    });
  });

  await test.step('the doubtful are looked at, moved and accepted; the others accepted at once', async () => {
    const said = page.locator('[role=status][aria-live]');
    await page.keyboard.press('Alt+d');
    await expect(page.getByRole('application')).toBeFocused();
    await page.keyboard.press('ArrowRight');
    await expect(said).toContainText('nudged');
    await page.keyboard.press('Enter');
    await walkTo(page, 'button', /^Accept (all|the) \d+/);
    await page.keyboard.press('Enter');
    await expect(said).toContainText('accepted');
  });

  await test.step('account and plan are read', async () => {
    await walkTo(page, 'tab', /^(Account|Plan|Teeth)$/, 90);
    await page.getByRole('tab', { name: 'Account' }).waitFor();
    for (let i = 0; i < 8; i++) {
      const at = await page.evaluate(() => document.activeElement?.textContent);
      if (at === 'Plan') break;
      await page.keyboard.press('ArrowRight');
    }
    await expect(page.getByRole('tab', { name: 'Plan' })).toHaveAttribute('aria-selected', 'true');
    await expect(page.getByRole('region', { name: 'Plan in sum' })).toContainText(/needed\s*\d/);
    await walkTo(page, 'button', /^Select contact /, 20);
    await page.keyboard.press('Enter');
    await expect(page.getByRole('region', { name: /^Contact / })).toBeVisible();
    expect(await graveFaults(page)).toEqual([]);
  });

  await test.step('the plan is printed', async () => {
    const plan = page.getByRole('region', { name: 'Plan in sum' });
    const neededMm = /needed\s*(\d+\.\d+)/.exec((await plan.textContent()) ?? '')![1];
    await page.keyboard.press('Control+p');
    await expect(page.getByRole('dialog', { name: 'Print' })).toBeVisible();
    await walkTo(page, 'button', /^Print$/, 20);
    await page.keyboard.press('Enter');
    await expect.poll(() => printed(page)).toContain('Reduction plan, upper arch');
    expect(await printed(page)).toContain(neededMm);
  });
  expect(problems).toEqual([]);
});
