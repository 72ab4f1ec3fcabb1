import { expect, type Locator, type Page, test } from '@playwright/test';
import { graveFaults } from './graveFaults.ts';

const section = (page: Page, name: string): Locator => page.getByRole('region', { name, exact: true });

async function openPair(page: Page): Promise<void> {
  await page.goto('./');
  await expect(page.getByRole('tab', { name: 'Plan' })).toBeVisible({ timeout: 60_000 });
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'Sample arches…' }).click();
  await page.getByRole('dialog').getByRole('button', { name: 'Open pair measured' }).click();
  await expect(page.getByRole('dialog')).toHaveCount(0, { timeout: 60_000 });
  await expect(section(page, 'Balance')).toContainText('Upper arch', { timeout: 60_000 });
  await page.getByRole('tab', { name: 'Plan' }).click();
}

/** Types a value as a user would. */
async function enter(field: Locator, value: string): Promise<void> {
  await field.fill(value);
  await field.press('Enter');
}

/** Millimetres planned at each contact, as the list of what binds shows them. */
const given = (page: Page): Promise<readonly string[]> =>
  section(page, 'What binds').locator('tbody tr td:nth-child(2)').allTextContents();

test('both arches weighed together, a contact locked, a limit exceeded with its reason, all of it on paper', async ({
  page,
}) => {
  const problems: string[] = [];
  page.on('pageerror', (error) => problems.push(error.message));
  await openPair(page);
  const alone = await given(page);

  await test.step('a band of one’s own moves tenths between contacts and adds none', async () => {
    const both = section(page, 'Both arches');
    await both.getByRole('radio', { name: 'Both together' }).click();
    await expect(both).toContainText('Space goes before the ratio');
    await expect(both.getByRole('status')).toContainText('After the plan', { timeout: 30_000 });
    await both.getByRole('button', { name: /Brought to/ }).click();
    await page.getByRole('option', { name: 'A band of your own' }).click();
    await enter(both.getByRole('textbox', { name: 'Anterior ratio, from' }), '75');
    await enter(both.getByRole('textbox', { name: 'Anterior ratio, to' }), '76');
    await expect(both.getByRole('row', { name: /^anterior/ })).toContainText('75.0–76.0: now');
    await expect(both.getByRole('status')).toContainText('Tenths were moved between contacts for it');
    await expect.poll(() => given(page)).not.toEqual(alone);
    const sum = (texts: readonly string[]) => texts.reduce((all, text) => all + Number(text), 0);
    expect(sum(await given(page))).toBeCloseTo(sum(alone), 6);
  });

  await test.step('allowed extra is taken, said, and held back', async () => {
    const both = section(page, 'Both arches');
    await enter(both.getByRole('textbox', { name: 'Anterior ratio, from' }), '72');
    await enter(both.getByRole('textbox', { name: 'Anterior ratio, to' }), '73');
    await expect(both.getByRole('status')).toContainText('mm of lower arch outside the band');
    await expect(both.getByRole('status')).toContainText('which the account does not need');
    await enter(both.getByRole('textbox', { name: 'Lower arch, at most' }), '0.3');
    await expect(both.getByRole('status')).toContainText(
      '0.3 mm in the lower is taken for it beyond the need',
    );
    await expect(both.getByRole('status')).toContainText('held back until a re-measurement');
    await enter(both.getByRole('textbox', { name: 'Lower arch, at most' }), '0');
    await expect(both.getByRole('status')).not.toContainText('taken for it');
    await enter(both.getByRole('textbox', { name: 'Anterior ratio, to' }), '76');
  });

  await test.step('a locked contact gives nothing, and the others take over', async () => {
    const before = await given(page);
    await section(page, 'What binds').getByRole('button', { name: 'Reasons of contact 41–31' }).click();
    await page.getByRole('button', { name: /^Not locked/ }).click();
    await page.getByRole('option', { name: 'Restoration' }).click();
    await expect(section(page, 'What binds').getByRole('row', { name: /41–31/ })).toContainText('locked');
    await expect.poll(() => given(page)).not.toEqual(before);
  });

  await test.step('another contact says why here and not there', async () => {
    await section(page, 'What binds').getByRole('button', { name: 'Reasons of contact 43–42' }).click();
    const reasons = section(page, 'Reasons of the plan');
    await expect(reasons).toContainText('0.1 mm less here');
    await reasons.getByRole('button', { name: /Why here/ }).click();
    await page.getByRole('option', { name: /41–31/ }).click();
    await expect(reasons).toContainText('41–31 can give no more. Locked: nothing is taken here.');
  });

  await test.step('a limit is exceeded only with a reason', async () => {
    await enter(page.getByRole('textbox', { name: /^Needed/ }), '7');
    await expect(page.getByText(/The plan falls short by/)).toBeVisible();
    await enter(page.getByRole('textbox', { name: 'Limit of the contact' }), '0.7');
    await expect(page.getByText('Without a reason the default limit holds.')).toBeVisible();
    await expect(section(page, 'Limits exceeded on purpose')).toHaveCount(0);
    await enter(page.getByRole('textbox', { name: /Reason for a limit/ }), 'thick enamel on the radiograph');
    const exceeded = section(page, 'Limits exceeded on purpose');
    await expect(exceeded).toContainText('43–42');
    await expect(exceeded).toContainText('Reason given: thick enamel on the radiograph');
    await expect(section(page, 'What binds')).toContainText('The limits bind');
  });

  await test.step('enamel read on a radiograph lowers what a contact bears', async () => {
    await section(page, 'Enamel')
      .getByRole('button', { name: /All 22 surfaces/ })
      .click();
    const dialog = page.getByRole('dialog', { name: 'Enamel of every surface' });
    expect(await graveFaults(page)).toEqual([]);
    const field = dialog.getByRole('textbox', { name: 'Enamel on the radiograph, 31 distal, mm' });
    await enter(field, '0.2');
    await expect(dialog.getByRole('row', { name: /^31 distal/ })).toContainText('0.10');
    await expect(dialog.getByRole('row', { name: /^31 distal/ })).toContainText('surfaces, 0.47');
    await dialog.getByRole('button', { name: 'Done' }).click();
    await expect(section(page, 'Enamel')).toContainText('1 of 22 thicknesses read on a radiograph');
  });

  await test.step('both sides alike, and a study of how cutting is done', async () => {
    await section(page, 'Left and right').getByRole('radio', { name: 'Same on both sides' }).click();
    await expect(section(page, 'Left and right')).toContainText('Reaching the goal goes before this wish');
    const forecast = section(page, 'Space left at the end');
    const asPlanned = await forecast.getByRole('status').textContent();
    await forecast.getByRole('button', { name: /Exactly as planned/ }).click();
    await page.getByRole('option', { name: /De Felice 2020/ }).click();
    await expect(forecast.getByRole('status')).not.toHaveText(asPlanned ?? '');
    await expect(forecast).toContainText('Prog Orthod 2020;21:28');
    await expect(forecast.getByRole('row', { name: /^3×/ })).toBeVisible();
  });

  expect(await graveFaults(page)).toEqual([]);

  await test.step('the printed sheet shows all of it', async () => {
    await page.emulateMedia({ media: 'print' });
    const paper = page.locator('.paper');
    await expect(paper).toContainText('Both arches together');
    await expect(paper).toContainText('Reason given: thick enamel on the radiograph');
    await expect(paper).toContainText('Prog Orthod 2020;21:28');
    await expect(paper.getByRole('row', { name: /^31 distal/ })).toContainText('0.20');
    await page.emulateMedia({ media: 'screen' });
  });
  expect(problems).toEqual([]);
});
