import { expect, type Page, test } from '@playwright/test';

// The page runs its own code only: the policy stands, nothing of the main job goes against it, and texts of the user
// are texts.

interface Noted {
  readonly directive: string;
  readonly blocked: string;
}

/** Notes everything the policy refuses, in the page and (by the console) in its workers. */
async function noteRefused(page: Page): Promise<() => Promise<readonly string[]>> {
  const said: string[] = [];
  page.on('console', (message) => {
    if (/Content Security Policy/i.test(message.text())) said.push(message.text());
  });
  await page.addInitScript(() => {
    const noted: Noted[] = [];
    Object.assign(window, { policyNoted: noted });
    addEventListener(
      'securitypolicyviolation',
      (event) => noted.push({ directive: event.effectiveDirective, blocked: event.blockedURI }),
      true,
    );
  });
  return async () => {
    const noted = await page.evaluate(() => (window as unknown as { policyNoted: Noted[] }).policyNoted);
    return [...noted.map(({ directive, blocked }) => `${directive}: ${blocked}`), ...said];
  };
}

const menu = async (page: Page, button: RegExp, item: string): Promise<void> => {
  await page.getByRole('button', { name: button }).click();
  await page.getByRole('menuitem', { name: item }).click();
};

test('nothing of the main job goes against the policy, and what does is refused', async ({ page }) => {
  const refused = await noteRefused(page);
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(String(error)));
  const answer = await page.goto('./');
  expect(answer?.headers()['content-security-policy']).toContain("default-src 'self'");
  const policy = page.locator('meta[http-equiv=Content-Security-Policy]');
  await expect(policy).toHaveAttribute('content', /script-src 'self' 'wasm-unsafe-eval';/);
  expect(await page.locator('script:not([src])').count()).toBe(0);
  expect(answer?.headers()['content-security-policy']).not.toContain('unsafe-inline');

  await expect(page.getByRole('application', { name: /Lower arch in 3D/ })).toBeVisible();
  for (const tab of ['Teeth', 'Arch', 'Course', 'Ways', 'Visits', 'Scan', 'Plan'])
    await page.getByRole('tab', { name: tab, exact: true }).click();
  await expect(page.getByText(/mm in all\./)).toBeVisible();
  await menu(page, /^Case/, 'Sample arches…');
  await page.getByRole('button', { name: 'Open pair measured' }).click();
  await page.getByRole('tab', { name: 'Plan' }).click();
  const both = page.getByRole('region', { name: 'Both arches', exact: true });
  await both.getByRole('radio', { name: 'Both together' }).click();
  await expect(both.getByRole('status')).toContainText('After the plan', { timeout: 60_000 });
  const saving = page.waitForEvent('download');
  await menu(page, /^Case/, 'Save as case file');
  expect((await saving).suggestedFilename()).toMatch(/\.case\.json$/);

  await menu(page, /^Case/, 'Study…');
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open a table…' }).click();
  const pairs = Array.from({ length: 12 }, (_, i) => `${8 + (i % 5) * 0.3},${8.1 + (i % 4) * 0.31}`);
  await (await choosing).setFiles({
    name: 'pairs.csv',
    mimeType: 'text/csv',
    buffer: Buffer.from(`scan,caliper\n${pairs.join('\n')}\n`),
  });
  await expect(page.locator('svg').first()).toBeVisible();
  await page.waitForTimeout(1000);
  expect(await refused()).toEqual([]);
  expect(faults).toEqual([]);

  // The same listener hears what is refused: a script or style of the page's own text, one from elsewhere, a call
  // elsewhere.
  const outcome = await page.evaluate(async () => {
    const inline = document.createElement('script');
    inline.textContent = 'window.ranInline = true';
    document.head.append(inline);
    const foreign = document.createElement('script');
    foreign.src = 'https://elsewhere.invalid/a.js';
    document.head.append(foreign);
    const call = await fetch('https://elsewhere.invalid/').then(
      () => 'answered',
      () => 'refused',
    );
    const style = document.createElement('style');
    style.textContent = 'body { outline: 1px solid }';
    document.head.append(style);
    document.body.setAttribute('style', 'outline: 1px solid');
    const { outlineStyle } = getComputedStyle(document.body);
    return { call, ran: 'ranInline' in window, outlineStyle };
  });
  expect(outcome).toEqual({ call: 'refused', ran: false, outlineStyle: 'none' });
  await expect
    .poll(refused)
    .toEqual(
      expect.arrayContaining([
        'script-src-elem: inline',
        'script-src-elem: https://elsewhere.invalid/a.js',
        'style-src-elem: inline',
        'style-src-attr: inline',
        'connect-src: https://elsewhere.invalid/',
      ]),
    );
});

test('a title, an observer and a file name made of HTML are shown as they are', async ({ page }) => {
  const HTML = '<img src=x onerror="window.ranHtml=1"><b>bold</b>';
  await page.goto('./');
  await expect(page.getByRole('application', { name: /Lower arch in 3D/ })).toBeVisible();
  const title = page.getByLabel('Case title');
  await title.fill(HTML);
  await title.press('Enter');
  await expect(page.getByText(/^Saved /)).toBeVisible();

  await menu(page, /^Case/, 'Readings of this arch…');
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('textbox').first().fill(HTML);
  await dialog.getByRole('textbox').first().press('Enter');
  await page.keyboard.press('Escape');
  await menu(page, /^Case/, 'Cases kept in this browser…');
  await expect(dialog).toContainText(HTML);
  await page.keyboard.press('Escape');

  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open scan…' }).click();
  await (await choosing).setFiles({
    name: `${HTML}.stl`,
    mimeType: 'model/stl',
    buffer: Buffer.from('no scan at all'),
  });
  await page.getByRole('dialog').getByRole('button', { name: 'Upper arch, in this case' }).click();
  await expect(page.getByRole('alertdialog')).toContainText(HTML);
  await page.keyboard.press('Escape');
  await page.emulateMedia({ media: 'print' });

  expect(await page.locator('img[src="x"]').count()).toBe(0);
  expect(await page.evaluate(() => 'ranHtml' in window)).toBe(false);
});
