import { expect, type Page, test } from '@playwright/test';

// A tab may be closed within a moment of the last click, long before "Saved" is shown. What was done is there again.

const arch = (page: Page) => page.getByRole('application', { name: /Lower arch in 3D/ });

async function openPage(page: Page): Promise<void> {
  await page.goto('./');
  await expect(arch(page)).toBeVisible({ timeout: 60_000 });
}

/** Changes the case and leaves in the very task of the last change: no save can have been answered. */
const changeAndLeave = (page: Page, title: string, leave: 'reload' | 'close'): Promise<void> =>
  page
    .evaluate(
      ([text, how]) => {
        const field = document.querySelector<HTMLInputElement>('input[aria-label="Case title"]');
        if (!field) throw new Error('no title field');
        const set = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value')?.set;
        field.focus();
        set?.call(field, text);
        field.dispatchEvent(new Event('input', { bubbles: true }));
        field.blur();
        if (how === 'reload') location.reload();
      },
      [title, leave] as const,
    )
    .catch(() => {}); // the page may be gone before it answers

const titleOf = (page: Page) => page.getByLabel('Case title');

test('what was done in the moment before the page went is there again', async ({ context }) => {
  test.setTimeout(240_000);
  const page = await context.newPage();
  await openPage(page);
  for (let round = 1; round <= 5; round++) {
    await changeAndLeave(page, `Round ${round}`, 'reload');
    await page.waitForLoadState();
    await expect(arch(page)).toBeVisible({ timeout: 60_000 });
    await expect(titleOf(page)).toHaveValue(`Round ${round}`);
  }
  // Closed as a tab is closed, with its handlers run.
  await changeAndLeave(page, 'Closed', 'close');
  await page.close({ runBeforeUnload: true });
  const again = await context.newPage();
  await openPage(again);
  await expect(titleOf(again)).toHaveValue('Closed');
  expect(await again.evaluate(() => localStorage.getItem('archledger.unsaved'))).toBeNull();

  // A click on the plan, the tab closed at once.
  await again.getByRole('tab', { name: 'Plan' }).click();
  await again.getByRole('textbox', { name: 'Visits', exact: true }).fill('5');
  await again.keyboard.press('Enter');
  await again.close({ runBeforeUnload: true });
  const third = await context.newPage();
  await openPage(third);
  await third.getByRole('tab', { name: 'Plan' }).click();
  await expect(third.getByRole('textbox', { name: 'Visits', exact: true })).toHaveValue('5');
});

test('unsaved work of a closed page whose case was saved elsewhere since is kept beside it', async ({
  context,
}) => {
  test.setTimeout(180_000);
  const page = await context.newPage();
  await openPage(page);
  await titleOf(page).fill('Mine');
  await titleOf(page).press('Enter');
  await expect(page.getByText(/^Saved /)).toBeVisible();
  // A note as an older page would have left it: the case as it is, seen at a revision long gone.
  await page.evaluate(async () => {
    const opening = indexedDB.open('archledger');
    const database: IDBDatabase = await new Promise((resolve) => {
      opening.onsuccess = () => resolve(opening.result);
    });
    const asking = database.transaction('cases').objectStore('cases').getAll();
    const [stored] = await new Promise<{ json: string; revision: number }[]>((resolve) => {
      asking.onsuccess = () => resolve(asking.result);
    });
    database.close();
    const json = stored.json.replace('"Mine"', '"Older work"');
    localStorage.setItem('archledger.unsaved', JSON.stringify({ revision: stored.revision + 7, json }));
  });
  await page.reload();
  await expect(arch(page)).toBeVisible({ timeout: 60_000 });
  await expect(titleOf(page)).toHaveValue('Mine');
  await expect(page.getByRole('alert').filter({ hasText: 'It is kept beside it' })).toContainText(
    '“Older work (not saved before)”',
  );
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'Cases kept in this browser…' }).click();
  const dialog = page.getByRole('dialog');
  await expect(dialog.getByRole('row', { name: /^Older work \(not saved before\)/ })).toBeVisible();
  await expect(dialog.getByRole('row', { name: /^Mine/ })).toBeVisible();
});

test('the browser asks before closing only where something would be lost; a full disk is told of and mended', async ({
  context,
  baseURL,
}) => {
  test.setTimeout(180_000);
  const page = await context.newPage();
  const session = await context.newCDPSession(page);
  const { origin } = new URL(baseURL ?? '');
  await openPage(page);
  const asked: string[] = [];
  page.on('dialog', (dialog) => {
    asked.push(dialog.type());
    void dialog.accept();
  });
  await titleOf(page).fill('Kept');
  await titleOf(page).press('Enter');
  await page.reload();
  await expect(arch(page)).toBeVisible({ timeout: 60_000 });
  await expect(titleOf(page)).toHaveValue('Kept');
  expect(asked).toEqual([]);

  await session.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 1 });
  // The browser remembers for half a minute how much room it found.
  const notice = page.getByRole('alert').filter({ hasText: 'Not saved in this browser.' });
  await expect(async () => {
    await titleOf(page).fill(`Full ${Date.now()}`);
    await titleOf(page).press('Enter');
    await expect(notice).toBeVisible({ timeout: 3000 });
  }).toPass({ timeout: 60_000 });
  await expect(notice).toContainText('the space the browser grants is used up');
  const title = await titleOf(page).inputValue();
  await page.reload();
  expect(asked).toEqual(['beforeunload']);
  await session.send('Storage.overrideQuotaForOrigin', { origin });
  await page.reload();
  await expect(arch(page)).toBeVisible({ timeout: 60_000 });
  // The note taken as the page went was saved once there was room.
  await expect(titleOf(page)).toHaveValue(title);
});

test('a scan opened while the case before is still being saved goes into the new case', async ({ page }) => {
  test.setTimeout(180_000);
  await openPage(page);
  await titleOf(page).fill('Before');
  await titleOf(page).press('Enter');
  await expect(page.getByText(/^Saved /)).toBeVisible();
  // Somebody else holds the storage for twelve seconds: what is saved meanwhile waits.
  await page.evaluate(async () => {
    const opening = indexedDB.open('archledger');
    await new Promise((resolve) => {
      opening.onsuccess = resolve;
    });
    const table = opening.result.transaction('cases', 'readwrite').objectStore('cases');
    const until = performance.now() + 12_000;
    const hold = (): void => {
      if (performance.now() < until) table.get('nobody').onsuccess = hold;
    };
    hold();
  });
  await titleOf(page).fill('Slowly saved');
  await titleOf(page).press('Enter');
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'New case' }).click();
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open scan…' }).click();
  await (await choosing).setFiles('sample-meshes/upper-spaced.ply');
  // The case before is still at hand, and is the one that is asked about.
  await page.getByRole('dialog').getByRole('button', { name: 'Upper arch, in this case' }).click();
  // Once the new case is in place the scan goes into it, and stays.
  await expect(titleOf(page)).toHaveValue('', { timeout: 60_000 });
  await expect(page.getByRole('application', { name: /Upper arch in 3D/ })).toBeVisible({ timeout: 60_000 });
  await expect(page.getByText(/^Saved /)).toBeVisible();
  await expect(page.getByRole('application', { name: /Upper arch in 3D/ })).toBeVisible();
});
