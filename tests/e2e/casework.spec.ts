import { readFile, writeFile } from 'node:fs/promises';
import { expect, type Locator, type Page, test } from '@playwright/test';
import { graveFaults } from './graveFaults.ts';
import { walkTo } from './keyWalk.ts';

const DEMO = 'sample-meshes/lower-crowded.case.json';

const stage = (page: Page): Locator => page.getByRole('application', { name: /arch in 3D/ });
const undo = (page: Page): Locator => page.getByRole('button', { name: /^Undo/ });
const redo = (page: Page): Locator => page.getByRole('button', { name: /^Redo/ });
const tab = (page: Page, name: string): Promise<void> => page.getByRole('tab', { name }).click();

/** The page as a first visit finds it: the demo open and planned. */
async function firstStart(page: Page): Promise<void> {
  await page.goto('./');
  await expect(stage(page)).toBeVisible({ timeout: 60_000 });
  await expect(page.getByRole('region', { name: 'Balance' })).toContainText('Space shortage');
}

async function inCaseMenu(page: Page, item: string): Promise<void> {
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: item }).click();
}

async function chooseCaseFile(page: Page, file: { name: string; text: string }): Promise<void> {
  const choosing = page.waitForEvent('filechooser');
  await inCaseMenu(page, 'Open case file…');
  await (await choosing).setFiles({
    name: file.name,
    mimeType: 'application/json',
    buffer: Buffer.from(file.text),
  });
}

/** The case as its file says it. */
async function savedCase(page: Page): Promise<string> {
  const saving = page.waitForEvent('download');
  await inCaseMenu(page, 'Save as case file');
  return readFile(await (await saving).path(), 'utf8');
}

async function openScan(page: Page, file: { name: string; buffer: Buffer }): Promise<void> {
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open scan…' }).click();
  await (await choosing).setFiles({ ...file, mimeType: 'model/stl' });
  await page.getByRole('dialog').getByRole('button', { name: 'Lower arch, in this case' }).click();
}

/** Binary STL with every corner moved farther from the origin or nearer. */
function scaled(stl: Buffer, factor: number): Buffer {
  const out = Buffer.from(stl);
  for (let at = 84; at + 50 <= out.length; at += 50)
    for (let k = 3; k < 12; k++) out.writeFloatLE(out.readFloatLE(at + 4 * k) * factor, at + 4 * k);
  return out;
}

test('first start: the demo is measured and planned, and read with the keyboard alone', async ({ page }) => {
  const problems: string[] = [];
  page.on('pageerror', (error) => problems.push(error.message));
  const outside: string[] = [];
  page.on('request', (request) => {
    if (!/^(blob:|data:)/.test(request.url()) && new URL(request.url()).hostname !== '127.0.0.1')
      outside.push(request.url());
  });
  await firstStart(page);
  await expect(undo(page)).toBeDisabled(); // nothing was done yet
  const shown = (await page.getByRole('region', { name: 'Balance' }).textContent()) ?? '';
  const [, shortageMm] = /([0-9.]+)\s*mm/.exec(shown.replace(/\s+/g, ' ')) ?? [];
  expect(Number(shortageMm)).toBeGreaterThan(1);

  await test.step('from the top of the page to the account, its evidence and the plan', async () => {
    const order = [
      ...(await walkTo(page, 'tab', /Account/)),
      ...(await walkTo(page, 'button', /Arch line, first molar/)),
    ];
    await page.keyboard.press('Enter');
    await expect(page.getByText('measured on this scan').first()).toBeVisible();
    expect(order.filter((at) => !at.isRinged && at.role !== 'input')).toEqual([]);
    await page.getByRole('tab', { name: 'Account' }).focus();
    for (const name of ['Teeth', 'Arch', 'Plan']) {
      await page.keyboard.press('ArrowRight');
      await expect(page.getByRole('tab', { name })).toHaveAttribute('aria-selected', 'true');
    }
    await expect(page.getByText('The plan meets the need')).toBeVisible();
    await expect(page.getByRole('region', { name: 'Plan in sum' })).toContainText(shortageMm);
  });

  await test.step('what the strip leaves over after the plan is what the forecast expects', async () => {
    const strip = page.getByRole('region', { name: /Strip/ });
    await strip.getByRole('radio', { name: 'After the plan' }).click();
    const leftOver =
      /=\s*([+−]?[0-9.]+)\smm/.exec((await strip.locator('.strip__sum').textContent()) ?? '')?.[1] ?? '';
    const expected =
      /expected\s*([+−]?[0-9.]+)\s*mm/.exec((await page.getByRole('tabpanel').textContent()) ?? '')?.[1] ??
      '';
    const number = (text: string): number => Number(text.replace('−', '-'));
    expect(Math.abs(number(leftOver) - number(expected))).toBeLessThan(0.011);
  });
  expect(outside).toEqual([]);
  expect(problems).toEqual([]);
});

test('every kind of change is undone and redone to the letter', async ({ page }) => {
  await firstStart(page);
  const before = await savedCase(page);
  let steps = 0;
  const did = async (change: () => Promise<void>): Promise<void> => {
    const was = await savedCase(page);
    await change();
    await expect.poll(() => savedCase(page)).not.toBe(was);
    steps++;
  };
  await did(async () => {
    await page.getByLabel('Case title').fill('Changed');
    await page.getByLabel('Case title').press('Enter');
  });
  await did(() => page.getByRole('radio', { name: 'Palmer' }).click());
  await did(() => page.getByRole('radio', { name: 'Four segments' }).click());
  await did(async () => {
    await page.getByRole('button', { name: 'Add…' }).click();
    await page.getByRole('menuitem', { name: 'Levelling the curve of Spee' }).click();
  });
  await tab(page, 'Arch');
  await did(() => page.getByText('Catenary', { exact: true }).click());
  await did(async () => {
    await stage(page).focus();
    await page.keyboard.press('m');
    await page.keyboard.press('ArrowUp');
  });
  await did(() => page.getByRole('radio', { name: 'Missing', exact: true }).click());
  for (let i = 0; i < steps; i++) await undo(page).click();
  await expect(undo(page)).toBeDisabled();
  // Time of saving is not part of the file: the two texts are the same.
  expect(await savedCase(page)).toBe(before);
  for (let i = 0; i < steps; i++) await redo(page).click();
  await expect(redo(page)).toBeDisabled();
  const after = JSON.parse(await savedCase(page));
  expect(after).toMatchObject({ title: 'Changed', notation: 'palmer' });
  expect(after.arches.lower).toMatchObject({ perimeter: 'four-segments', form: 'catenary' });
  expect(after.arches.lower.allowances).toHaveLength(1);
  expect(after.arches.lower.chart.missing).toHaveLength(1);
});

test('broken files are refused in words and leave the case as it is', async ({ page }) => {
  await firstStart(page);
  const before = await savedCase(page);
  const stl = await readFile('sample-meshes/upper-crowded.stl');
  const refused = page.getByRole('alertdialog');
  const closes = async (button = 'Close'): Promise<void> => {
    await refused.getByRole('button', { name: button }).click();
    await expect(refused).toHaveCount(0);
    expect(await savedCase(page)).toBe(before);
    await expect(undo(page)).toBeDisabled();
  };
  await openScan(page, { name: 'cut.stl', buffer: stl.subarray(0, 400_000) });
  await expect(refused).toContainText('cut.stl was not opened');
  await expect(refused).toContainText(/ends early|cut off|promises/);
  expect(await graveFaults(page)).toEqual([]);
  await closes();

  await openScan(page, { name: 'metres.stl', buffer: scaled(stl, 0.001) });
  await expect(refused).toContainText('metres');
  await expect(refused.getByRole('button', { name: 'Convert from metres and open' })).toBeVisible();
  await closes('Do not open');

  await openScan(page, { name: 'letter.stl', buffer: Buffer.from('Dear colleague, this is no scan.') });
  await expect(refused).toContainText('letter.stl was not opened');
  await closes();

  const demo = await readFile(DEMO, 'utf8');
  for (const [name, text] of [
    ['half.json', demo.slice(0, 2000)],
    ['newer.json', demo.replace('case@1', 'case@9')],
    ['other.json', '{"schema":"something/else@1"}'],
    ['unknown-field.json', demo.replace('"notation"', '"notations"')],
  ] as const) {
    await chooseCaseFile(page, { name, text });
    await expect(refused).toContainText(`${name} was not opened`);
    await closes();
  }
});

test('a scan is opened in a case of its own, and the one before is kept', async ({ page }) => {
  await firstStart(page);
  await page.getByLabel('Case title').fill('Kept here');
  await page.getByLabel('Case title').press('Enter');
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open scan…' }).first().click();
  await (await choosing).setFiles('sample-meshes/upper-crowded.stl');
  const asked = page.getByRole('dialog', { name: 'Which arch is this?' });
  await asked.getByRole('button', { name: 'Upper arch, in a new case' }).click();
  await expect(page.getByRole('application', { name: /Upper arch in 3D/ })).toBeVisible({ timeout: 60_000 });
  await expect(page.getByLabel('Case title')).toHaveValue('');
  await expect(page.getByText('Lower: none')).toBeVisible();
  // Its marks are only proposed: no word of cutting before somebody looked at them.
  await expect(page.getByRole('group', { name: 'Proposed marks' })).toBeVisible({ timeout: 60_000 });
  await page.getByRole('tab', { name: 'Visits' }).click();
  await expect(page.getByText('First look at the proposed marks', { exact: true })).toBeVisible();
  await expect(page.getByText('Nothing taken yet', { exact: true })).toHaveCount(0);
  await page.locator('[data-case-menu]').click();
  await page.getByRole('menuitem', { name: 'Cases kept in this browser…' }).click();
  await expect(page.getByRole('dialog')).toContainText('Kept here');
});

test('a case file is saved, opened again and never put over a kept case unasked', async ({ page }, info) => {
  await firstStart(page);
  await page.getByLabel('Case title').fill('Kept here');
  await page.getByLabel('Case title').press('Enter');
  await expect(page.getByText(/^Saved \d/)).toBeVisible();
  const text = (await savedCase(page)).replace('Kept here', 'From the file');
  await writeFile(info.outputPath('case.json'), text);
  const asked = page.getByRole('dialog', { name: 'This case is kept here already' });
  const titleIs = (title: string) => expect(page.getByLabel('Case title')).toHaveValue(title);

  await chooseCaseFile(page, { name: 'case.json', text });
  await expect(asked).toBeVisible();
  expect(await graveFaults(page)).toEqual([]);
  await asked.getByRole('button', { name: 'Open the kept one' }).click();
  await titleIs('Kept here');

  await chooseCaseFile(page, { name: 'case.json', text });
  await asked.getByRole('button', { name: 'Keep both' }).click();
  await titleIs('From the file');
  await expect(page.getByText(/^Saved \d/)).toBeVisible();
  await inCaseMenu(page, 'Cases kept in this browser…');
  const kept = page.getByRole('dialog', { name: 'Cases kept in this browser' });
  await expect(kept.getByRole('row', { name: /Kept here/ })).toHaveCount(1);
  await expect(kept.getByRole('row', { name: /From the file/ })).toHaveCount(1);
  await kept.getByRole('button', { name: 'Close' }).click();

  await chooseCaseFile(page, { name: 'case.json', text: text.replace('From the file', 'In its place') });
  await asked.getByRole('button', { name: 'File in its place' }).click();
  await titleIs('In its place');
  await expect(page.getByText(/^Saved \d/)).toBeVisible();
  await inCaseMenu(page, 'Cases kept in this browser…');
  await expect(kept.getByRole('row', { name: /Kept here/ })).toHaveCount(0);
  await expect(kept.getByRole('row', { name: /In its place/ })).toHaveCount(1);
  await kept.getByRole('button', { name: 'Close' }).click();

  await test.step('a reload brings back the case, its scan and its numbers', async () => {
    const balance = await page.getByRole('region', { name: 'Balance' }).textContent();
    await page.reload();
    await titleIs('In its place');
    await expect(stage(page)).toBeVisible({ timeout: 60_000 });
    await expect(page.getByText(/is not at hand/)).toHaveCount(0);
    expect(await page.getByRole('region', { name: 'Balance' }).textContent()).toBe(balance);
  });
});

test('the sheets to print hold the account, the plan, its cautions and its sources', async ({ page }) => {
  await firstStart(page);
  await expect(page.getByRole('region', { name: /Strip/ })).toContainText('0.3');
  await page.emulateMedia({ media: 'print' });
  const paper = page.locator('.paper');
  await expect(paper).toBeVisible();
  for (const text of [
    'Lower arch',
    'Space shortage',
    'Reduction plan, lower arch',
    'Cautions',
    'Sources and remarks',
    'Not a medical device',
  ])
    await expect(paper).toContainText(text);
  await expect(page.locator('.bench')).toBeHidden();
  for (const format of ['A4', 'Letter'] as const) {
    const pdf = await page.pdf({ format });
    const sheets = pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g) ?? [];
    expect(sheets.length).toBe(3); // account; plan; widths, contacts and enamel
  }
  await page.emulateMedia({ media: 'screen' });
  await expect(paper).toHaveCount(0);
});

for (const colorScheme of ['light', 'dark'] as const) {
  test(`main screens and dialogs have no serious fault of accessibility, ${colorScheme}`, async ({
    page,
  }) => {
    await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    await firstStart(page);
    const faults: string[] = [];
    const look = async (where: string): Promise<void> => {
      faults.push(...(await graveFaults(page)).map((fault) => `${where}: ${fault}`));
    };
    for (const name of ['Account', 'Teeth', 'Arch', 'Plan', 'Scan']) {
      await tab(page, name);
      await look(name);
    }
    await page.getByRole('button', { name: /^Contact 42–41/ }).click();
    await look('contact');
    await page.getByRole('button', { name: 'Section' }).click();
    await look('section');
    await page.getByRole('button', { name: 'Section' }).click();
    await page.getByRole('button', { name: 'Set upright' }).click();
    await look('set upright');
    await page.getByRole('button', { name: 'Done' }).click();
    await stage(page).focus();
    await page.keyboard.press('m');
    await look('a tooth and its marks');
    for (const item of [
      'Cases kept in this browser…',
      'Sample arches…',
      'Save tables as CSV…',
      'Readings of this arch…',
    ]) {
      await inCaseMenu(page, item);
      await expect(page.getByRole('dialog')).toBeVisible();
      await look(item);
      await page.keyboard.press('Escape');
      await expect(page.getByRole('dialog')).toHaveCount(0);
    }
    for (const item of ['Keyboard shortcuts…', 'About and cautions…']) {
      await page.getByRole('button', { name: 'Help', exact: true }).click();
      await page.getByRole('menuitem', { name: item }).click();
      await expect(page.getByRole('dialog')).toBeVisible();
      await look(item);
      await page.keyboard.press('Escape');
    }
    expect(faults).toEqual([]);
  });
}
