import { readFile } from 'node:fs/promises';
import { expect, type Locator, type Page, test } from '@playwright/test';
import { repeatedReadings } from '../../src/core/study/repeatedReadings.ts';
import { CARDIAC_OUTPUT, PEAK_FLOW, PEARSON_YORK } from '../support/publishedPairs.ts';
import { graveFaults } from './graveFaults.ts';

const { wright1, mini1 } = PEAK_FLOW;
const PEAK_CSV = `subject;row;wright;mini\n${wright1
  .map((value, i) => `${i + 1};${i % 2 ? 'even' : 'odd'};${value},0;${mini1[i]},0`)
  .join('\n')}\n`;

async function openStudy(page: Page): Promise<void> {
  await page.goto('./');
  await expect(page.getByRole('application', { name: /arch in 3D/ })).toBeVisible({ timeout: 60_000 });
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'Study…' }).click();
  await expect(page.getByRole('heading', { name: 'Study', exact: true })).toBeVisible();
}

async function openTable(page: Page, name: string, text: string): Promise<void> {
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open a table…' }).click();
  await (await choosing).setFiles({ name, mimeType: 'text/csv', buffer: Buffer.from(text) });
}

const figure = (page: Page, label: RegExp): Locator =>
  page.getByRole('table', { name: 'Figures of all pairs' }).getByRole('row', { name: label });

async function choose(page: Page, field: string, option: string): Promise<void> {
  await page.getByRole('button', { name: new RegExp(field) }).click();
  await page.getByRole('option', { name: option }).first().click();
}

test('a published data set comes out to its printed digits; plots and tables are saved', async ({ page }) => {
  const problems: string[] = [];
  page.on('pageerror', (error) => problems.push(error.message));
  await openStudy(page);
  expect(await graveFaults(page)).toEqual([]);
  await openTable(page, 'peak.csv', PEAK_CSV);
  await expect(page.getByText('17 rows, 4 columns, parted by semicolon.')).toBeVisible();
  await choose(page, 'Unit of the columns', 'other');
  await choose(page, 'Groups', 'row');

  // Bland JM, Altman DG, Lancet 1986: printed bias −2.1, SD 38.8, interval −22.0 to 17.8, r 0.94.
  await expect(figure(page, /^Bias/)).toContainText('−2.12');
  await expect(figure(page, /^Bias/)).toContainText('−22.05 to 17.81');
  await expect(figure(page, /^SD of the differences/)).toContainText('38.77');
  await expect(figure(page, /^Lower limit/)).toContainText('−78.10');
  await expect(figure(page, /^Pearson/)).toContainText('0.9433');
  await expect(figure(page, /^Lin/)).toContainText('0.9427');
  await expect(figure(page, /^ICC \(2,1\)/)).toContainText('0.9459');
  await expect(figure(page, /^Deming slope/)).toContainText('0.9709');
  await expect(page.getByRole('table', { name: 'Figures by group' }).getByRole('row')).toHaveCount(3);

  await page.getByText(/^Conventions of the statistics/).click();
  await choose(page, 'Limits of agreement', 'bias ± 2 SD');
  await expect(figure(page, /^Lower limit/)).toContainText('−79.65');
  await expect(figure(page, /^Upper limit/)).toContainText('75.41');
  await expect(page.getByText(/Conventions: Limits of agreement: bias ± 2 SD/)).toBeVisible();
  await expect(page.getByText(/^On average wright is 2.12 below mini; 0 lies within/)).toBeVisible();
  await expect(page.getByRole('img', { name: /Differences of 17 pairs/ })).toBeVisible();
  expect(await graveFaults(page)).toEqual([]);

  const saved = async (button: string) => {
    const saving = page.waitForEvent('download');
    await page.getByRole('button', { name: button }).click();
    return readFile(await (await saving).path());
  };
  const svg = (await saved('Save difference against mean as SVG')).toString();
  expect(svg).toMatch(/^<svg[^>]*xmlns="http:\/\/www.w3.org\/2000\/svg"/);
  expect(svg.match(/<circle/g)).toHaveLength(17);
  expect(svg).toContain('lower limit −79.6');
  expect(svg).not.toContain('var(--');
  const png = await saved('Save second against first as PNG');
  expect([...png.subarray(0, 4)]).toEqual([0x89, 0x50, 0x4e, 0x47]);
  expect(png.readUInt32BE(16)).toBe(3 * 560);
  const figures = (await saved('Save figures as CSV')).toString().trim().split('\r\n');
  expect(figures).toHaveLength(4);
  expect(figures[1].split(',')[2]).toMatch(/^-2\.1176470588/);
  const pairs = (await saved('Save pairs as CSV')).toString();
  expect(pairs).toContain('line 2,odd,494,512');

  // What was saved can be opened again.
  await openTable(page, 'pairs.csv', pairs);
  await expect(figure(page, /^Bias/)).toContainText('−2.12');

  await page.getByRole('heading', { name: 'Study', exact: true }).click();
  await page.keyboard.press('Escape');
  await expect(page.getByRole('heading', { name: 'Study', exact: true })).toBeHidden();
  await expect(page.getByRole('button', { name: /^Case/ })).toBeFocused();
  expect(problems).toEqual([]);
});

test('unequal replicates of a published data set', async ({ page }) => {
  await openStudy(page);
  const rows = CARDIAC_OUTPUT.map((row) => row.join('\t'));
  await openTable(page, 'cardiac.tsv', `subject\treplicate\tRV\tIC\n${rows.join('\n')}\n`);
  await choose(page, 'Groups', 'subject');
  await page.getByText('Each group is one tooth or subject measured several times').click();
  // Bland JM, Altman DG, Stat Methods Med Res 1999;8:135–160, section 5.
  const row = (name: RegExp) =>
    page.getByRole('table', { name: 'Figures of repeated measurements' }).getByRole('row', { name });
  await expect(row(/^Bias/)).toContainText('0.71');
  await expect(row(/^SD of single/)).toContainText('1.05');
  await expect(row(/^Lower limit/)).toContainText('−1.35');
  await expect(row(/^Upper limit/)).toContainText('2.77');
  expect(await graveFaults(page)).toEqual([]);
});

test('a broken table is refused with its line; caliper widths stand beside those of the scan', async ({
  page,
}) => {
  await openStudy(page);
  await openTable(page, 'broken.csv', 'caliper,scan\n8.1,8.2\n7.5,7.4\n6.6,broad\n');
  await expect(page.getByRole('alert').first()).toContainText('line 4, column "scan"');
  await openTable(page, 'ragged.csv', 'caliper,scan\n8.1,8.2\n7.5\n');
  await expect(page.getByRole('alert').first()).toContainText('line 3');

  await page.getByRole('radio', { name: 'Caliper' }).click();
  const entry = (tooth: string) => page.getByRole('textbox', { name: `Caliper width of the ${tooth}, mm` });
  // Typed unseen: neither the scan's widths nor a comparison lead the hand.
  await expect(page.getByRole('columnheader', { name: 'scan, mm' })).toHaveCount(0);
  await entry('lower right canine').fill('6,95');
  await page.keyboard.press('Enter');
  await expect(entry('lower right lateral incisor')).toBeFocused();
  await page.keyboard.type('wide');
  await expect(page.getByText('no width, 0 to 30 mm')).toBeVisible();
  await page.keyboard.press('Control+a');
  await page.keyboard.press('Backspace');
  await entry('lower left canine').fill('7.30');
  const paste = page.getByRole('textbox', { name: /^Paste/ });
  await paste.fill('41 5.5\n99 7\n');
  await page.getByRole('button', { name: 'Take the widths' }).click();
  await expect(page.getByRole('alert').first()).toContainText('Line 2');
  await paste.fill('Zahn\tBreite\n41\t5.5\n42\t6,4\n31\t5.6\n');
  await page.getByRole('button', { name: 'Take the widths' }).click();
  await expect(page.getByText('5 of 14 widths typed')).toBeVisible();
  await expect(figure(page, /^Bias/)).toHaveCount(0);
  await page.getByRole('button', { name: 'Show the comparison' }).click();
  await expect(page.getByText(/5 pairs; 9 left out/)).toBeVisible();
  await expect(entry('lower right lateral incisor')).toHaveValue('6.4');
  await expect(page.getByText(/^Bias within ±0.2 mm/)).toBeVisible();
  await expect(page.locator('[role=status][aria-live=polite]').first()).toContainText(
    /^5 pairs\. On average scan is \d\.\d+\u00a0mm (above|below) caliper/,
  );
  expect(await graveFaults(page)).toEqual([]);

  // Kept with the case over a reload; removed and brought back.
  await expect(page.getByText(/^Saved/)).toBeAttached();
  await page.reload();
  await page.getByRole('button', { name: /^Case/ }).click({ timeout: 60_000 });
  await page.getByRole('menuitem', { name: 'Study…' }).click();
  await expect(page.getByText(/5 pairs; 9 left out/)).toBeVisible({ timeout: 60_000 });
  await expect(entry('lower right canine')).toHaveValue('6.95');
  await page.getByRole('button', { name: 'Remove all' }).click();
  await expect(entry('lower right canine')).toHaveValue('');
  await page.getByRole('button', { name: 'Bring back the 5' }).click();
  await expect(entry('lower right canine')).toHaveValue('6.95');
});

test('a table of three observers is pasted, compared all together, and printed', async ({ page }) => {
  await openStudy(page);
  const widths = [
    ['Zahn', 'Beobachter A', 'Beobachter B', 'Beobachter C'],
    ['11', '8,5', '8,6', '8,4'],
    ['12', '6,7', '6,9', '6,8'],
    ['13', '7,8', '7,7', '7,9'],
    ['16', '10,4', '10,6', '10,3'],
    ['46', '11,1', '', '11,2'],
  ];
  await page.getByRole('button', { name: 'Paste a table…' }).click();
  await page
    .getByRole('textbox', { name: /^Cells copied/ })
    .fill(widths.map((row) => row.join('\t')).join('\n'));
  await page.getByRole('button', { name: 'Take the table' }).click();
  // The tooth numbers are no measurement; the kind of tooth groups by itself.
  await expect(page.getByText(/Beobachter A − Beobachter B: 4 pairs; 1 left out/)).toBeVisible();
  await expect(page.getByRole('table', { name: 'Figures by group' }).getByRole('row')).toHaveCount(4);
  const rows = [
    [8.5, 8.6, 8.4],
    [6.7, 6.9, 6.8],
    [7.8, 7.7, 7.9],
    [10.4, 10.6, 10.3],
    [11.1, 11.2],
  ];
  const all = page.getByRole('table', { name: 'Figures of all readings together' });
  await expect(all.getByRole('row', { name: /^SD within subjects, any two readings/ })).toContainText(
    repeatedReadings(rows).withinSd.toFixed(3),
  );
  await expect(all.getByRole('row', { name: /^Beobachter C − mean of all/ })).toBeVisible();
  await expect(
    page.getByRole('img', { name: 'Each of 3 readings against the mean of all, 4 subjects.' }),
  ).toBeVisible();
  expect(await graveFaults(page)).toEqual([]);
  const tick = page.getByRole('group', { name: 'Columns compared all together' }).getByText('Beobachter C');
  await tick.click();
  await expect(all).toHaveCount(0);
  await tick.click();
  await expect(all).toBeVisible();

  // On paper: the study and not the plan of the arch.
  await page.emulateMedia({ media: 'print' });
  await expect(page.getByRole('heading', { name: 'Study: Beobachter A and Beobachter B' })).toBeVisible();
  await expect(page.getByRole('heading', { name: /Reduction plan/ })).toHaveCount(0);
  await expect(page.locator('.study-paper svg')).toHaveCount(5);
  await expect(page.getByRole('heading', { name: 'Study', exact: true })).toBeHidden();
  await page.emulateMedia({ media: 'screen' });
  await expect(page.locator('.study-paper')).toHaveCount(0);

  // The table and the choices outlast a reload of this tab.
  await page.reload();
  await page.getByRole('button', { name: /^Case/ }).click({ timeout: 60_000 });
  await page.getByRole('menuitem', { name: 'Study…' }).click();
  await expect(all).toBeVisible();
});

test('York’s line where each value has its own SD', async ({ page }) => {
  await openStudy(page);
  const { x, y, weightsX, weightsY } = PEARSON_YORK;
  const lines = x.map((value, i) => [value, weightsX[i] ** -0.5, y[i], weightsY[i] ** -0.5].join(','));
  await openTable(page, 'york.csv', `x,x sd,y,y sd\n${lines.join('\n')}\n`);
  // York D, Can J Phys 1966;44:1079–1086: slope −0.4805, χ² 11.87.
  await expect(figure(page, /^York slope, 10 pairs with SDs/)).toContainText('−0.4805');
  await expect(figure(page, /^York χ²/)).toContainText('11.87');
  await page.getByText('How the file is read; SD of each value').click();
  await choose(page, 'SD of the second column’s values', 'none');
  await expect(figure(page, /^York slope/)).toHaveCount(0);
  expect(await graveFaults(page)).toEqual([]);
});
