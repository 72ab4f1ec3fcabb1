import { readFile } from 'node:fs/promises';
import AxeBuilder from '@axe-core/playwright';
import { expect, type Page, test } from '@playwright/test';
import { recipeFromCode } from '../../src/samples/recipeCode.ts';
import type { SampleTruth } from '../../src/samples/sampleTruth.ts';
import { bestAim, placeByKeys } from './aim.ts';

// A lesson from the start to the score, and a teacher's arch handed on as a code. The story reads the truth to know
// where a practised eye would click; the page reads it when the score is asked for.

const FRONT = [43, 42, 41, 31, 32, 33];

const lesson = (page: Page) => page.getByRole('group', { name: 'Lesson' });
const dialog = (page: Page) => page.getByRole('dialog');

async function openLessons(page: Page): Promise<void> {
  await page.goto('./');
  await expect(page.getByText('28 of 28 points confirmed')).toBeVisible({ timeout: 60_000 });
  await page.getByRole('button', { name: 'Lessons', exact: true }).click();
}

/** The site the marking prompt asks for. */
async function askedSite(page: Page): Promise<{ tooth: number; site: 'mesial' | 'distal' } | null> {
  const text = (await page.getByRole('group', { name: 'Marking' }).textContent()) ?? '';
  const match = /Mark the\s+(mesial|distal) contact point of (\d+)/.exec(text);
  return match ? { site: match[1] as 'mesial' | 'distal', tooth: Number(match[2]) } : null;
}

test('front teeth are marked, scored against the truth, and the score is kept', async ({ page }) => {
  test.setTimeout(240_000);
  const asked: string[] = [];
  page.on('request', (request) => asked.push(request.url()));
  const problems: string[] = [];
  page.on('pageerror', (error) => problems.push(error.message));
  const truth: SampleTruth = JSON.parse(await readFile('sample-meshes/lower-crowded.truth.json', 'utf8'));
  await openLessons(page);
  expect((await new AxeBuilder({ page }).include('[role=dialog]').analyze()).violations).toEqual([]);
  await page.getByRole('button', { name: 'Begin: Marking contact points' }).click();
  await expect(lesson(page)).toContainText('0 of 12 points are marked', { timeout: 60_000 });
  await expect(page.getByRole('group', { name: 'Proposed marks' })).toHaveCount(0);

  // led over the front teeth alone; 32's distal point is set on the middle of its edge, 33's is left out
  await page.getByRole('group', { name: 'Marking' }).getByRole('button', { name: 'Start marking' }).click();
  for (let placed = 0; placed < 11; ) {
    const site = await askedSite(page);
    if (!site) throw new Error(`the prompt asks for nothing after ${placed} marks`);
    expect(FRONT).toContain(site.tooth);
    const own = truth.teeth.find((t) => t.tooth === site.tooth)!;
    const isAstray = site.tooth === 32 && site.site === 'distal';
    const pointMm = isAstray ? own.incisalMm! : site.site === 'mesial' ? own.mesialMm : own.distalMm;
    await page.getByRole('application', { name: /Lower arch in 3D/ }).focus();
    const aim = await bestAim(page, pointMm);
    await page.mouse.click(aim.x, aim.y);
    placed++;
    await expect(lesson(page)).toContainText(`${placed} of 12 points are marked`);
    await expect.poll(() => askedSite(page)).not.toEqual(site);
  }
  // until now nobody has looked at the truth
  expect(asked.filter((url) => /truth/.test(url))).toEqual([]);
  await page.getByRole('button', { name: 'Score my marks' }).click();
  await expect(dialog(page)).toContainText('Your marks and the truth');
  expect(asked.filter((url) => /truth/.test(url))).toHaveLength(1);

  const row = (tooth: number) =>
    dialog(page)
      .getByRole('row')
      .filter({ has: page.getByRole('rowheader', { name: String(tooth), exact: true }) });
  for (const tooth of [43, 42, 41, 31]) {
    const width = truth.teeth.find((t) => t.tooth === tooth)!;
    const cells = await row(tooth).getByRole('cell').allTextContents();
    expect(Math.abs(Number(cells[1]) - width.widthMm)).toBeLessThan(0.15);
    expect(Math.abs(Number(cells[2].replace('−', '-')))).toBeLessThan(0.4);
  }
  await expect(row(32)).toContainText('The distal point stops short');
  await expect(row(33)).toContainText('Both contact points are needed');
  await expect(dialog(page)).toContainText(/of 100/);
  const points = Number(await dialog(page).locator('.score__points b').textContent());
  expect(points).toBeGreaterThan(40);
  expect(points).toBeLessThan(90);
  expect((await new AxeBuilder({ page }).include('[role=dialog]').analyze()).violations).toEqual([]);
  await page.getByRole('button', { name: 'Look at tooth 33' }).click();
  await expect(dialog(page)).toHaveCount(0);

  await expect(page.getByText(/^Saved/)).toBeVisible();
  await page.reload();
  // the lesson goes on in this tab, with its marks
  await expect(lesson(page)).toContainText('11 of 12 points are marked', { timeout: 60_000 });
  await page.getByRole('button', { name: 'Lessons', exact: true }).click();
  await expect(dialog(page)).toContainText(`best ${points}, 1 try`);
  await page.getByRole('button', { name: 'Forget my scores' }).click();
  await expect(dialog(page)).not.toContainText('best');
  expect(problems).toEqual([]);
});

test('the lesson on marking goes by keys alone, from its start to the score', async ({ page }) => {
  test.setTimeout(240_000);
  const truth: SampleTruth = JSON.parse(await readFile('sample-meshes/lower-crowded.truth.json', 'utf8'));
  await page.goto('./');
  await expect(page.getByText('28 of 28 points confirmed')).toBeVisible({ timeout: 60_000 });
  await page.getByRole('button', { name: 'Lessons', exact: true }).focus();
  await page.keyboard.press('Enter');
  const begin = page.getByRole('button', { name: 'Begin: Marking contact points' });
  for (let i = 0; i < 12; i++) {
    await page.keyboard.press('Tab');
    if (await begin.evaluate((button) => button === document.activeElement)) break;
  }
  await expect(begin).toBeFocused();
  await page.keyboard.press('Enter');
  await expect(lesson(page)).toContainText('0 of 12 points are marked', { timeout: 60_000 });
  await page.getByRole('application', { name: /Lower arch in 3D/ }).focus();
  await page.keyboard.press('m');
  for (let placed = 0; placed < 12; placed++) {
    const site = await askedSite(page);
    if (!site) throw new Error(`the prompt asks for nothing after ${placed} marks`);
    const own = truth.teeth.find((t) => t.tooth === site.tooth)!;
    await placeByKeys(page, site.site === 'mesial' ? own.mesialMm : own.distalMm, async () =>
      ((await lesson(page).textContent()) ?? '').includes(`${placed + 1} of 12 points`),
    );
  }
  const score = page.getByRole('button', { name: 'Score my marks' });
  for (let i = 0; i < 40 && !(await score.evaluate((b) => b === document.activeElement)); i++)
    await page.keyboard.press('Shift+Tab');
  await expect(score).toBeFocused();
  await page.keyboard.press('Enter');
  await expect(dialog(page)).toContainText(/of 100/);
  await expect(page.locator('[role=status][aria-live=polite]').first()).toContainText(/Score: \d+ of 100/);
  expect(Number(await dialog(page).locator('.score__points b').textContent())).toBeGreaterThan(40);
  await page.keyboard.press('Escape');
  await expect(dialog(page)).toHaveCount(0);
});

test('a teacher’s arch is made from its code, judged by eye, accounted and planned', async ({ page }) => {
  test.setTimeout(180_000);
  await openLessons(page);
  await page.getByText('Make an arch for a class').click();
  await page.getByRole('slider', { name: 'Crowding' }).fill('2');
  const code = (await page.getByLabel('Code of this arch').textContent())!;
  expect(recipeFromCode(code)).toMatchObject({ jaw: 'lower', seed: 1, crowdingMm: 2 });
  await page.getByRole('button', { name: 'Use this arch' }).click();
  await expect(dialog(page)).toContainText('In use for the lessons above.');
  const field = page.getByRole('textbox', { name: /^Code/ });
  await expect(field).toHaveValue(code);
  const begin = page.getByRole('button', { name: 'Begin: The account, line by line' });
  await field.fill(code.replace('C20', 'C30'));
  await expect(begin).toBeDisabled();
  await expect(dialog(page)).toContainText('damaged');
  await field.fill(code);
  await begin.click();
  await expect(page.getByText('Figures are out of sight')).toBeVisible({ timeout: 90_000 });
  await expect(page.getByRole('tab', { name: 'Account' })).toBeHidden();
  await page.getByRole('textbox', { name: 'Space by eye' }).fill('-1.5');
  await page.keyboard.press('Tab');
  await page.getByRole('button', { name: 'First line' }).click();
  await expect(lesson(page)).toContainText('Arch line, first molar to first molar');
  await expect(page.getByRole('tab', { name: 'Account' })).toBeHidden();
  await page.getByRole('button', { name: 'Next line' }).click();
  await page.getByRole('button', { name: 'Balance' }).click();
  await expect(page.getByRole('tab', { name: 'Account' })).toBeVisible();
  await page.getByRole('button', { name: 'Hold it against the truth' }).click();
  await expect(dialog(page).getByRole('row', { name: /^True/ })).toContainText('−2.00 mm');
  await expect(dialog(page).getByRole('row', { name: /^Judged/ })).toContainText('off by 0.50 mm');
  await expect(dialog(page)).toContainText('100 of 100');
  await page.getByRole('button', { name: 'Back to the arch' }).click();

  await page.getByRole('button', { name: 'Lessons…' }).click();
  await page.getByRole('radio', { name: 'From the list' }).click();
  await dialog(page)
    .getByRole('button', { name: /Which of the list/ })
    .click();
  // no figure of what is to be judged stands in the list
  for (const option of await page.getByRole('option').allTextContents()) expect(option).not.toMatch(/\d/);
  await page.getByRole('option', { name: /^Lower arch, crowded(?!:)/ }).click();
  await page.getByRole('button', { name: 'Begin: Planning the reduction' }).click();
  await expect(lesson(page)).toContainText('Planned: 0.0 mm', { timeout: 90_000 });
  await page.getByRole('button', { name: 'Lay it beside the exact plan' }).click();
  await expect(dialog(page)).toContainText('0 of 100');
  await expect(dialog(page).getByRole('row', { name: /^41–31/ })).toContainText('0.0 mm');
  await page.getByRole('button', { name: 'Back to the arch' }).click();

  await page.getByRole('button', { name: 'Lessons…' }).click();
  await page.getByRole('button', { name: 'Begin: Reading a follow-up scan' }).click();
  await expect(lesson(page)).toContainText('A scan from the end of treatment', { timeout: 120_000 });
  await expect(page.getByText('my tenths')).toHaveCount(0); // of the lesson before
  await lesson(page)
    .getByRole('button', { name: /Space open at/ })
    .click();
  await page.getByRole('option', { name: '41–31' }).click();
  await lesson(page).getByRole('textbox', { name: 'Space there' }).fill('0.43');
  await page.keyboard.press('Tab');
  await lesson(page)
    .getByRole('button', { name: /What comes next/ })
    .click();
  await page.getByRole('option', { name: 'stop and close the space' }).click();
  await lesson(page).getByRole('button', { name: 'Hold it against the truth' }).click();
  await expect(dialog(page)).toContainText('100 of 100');
  await page.getByRole('button', { name: 'Back to the arch' }).click();
  await page.getByRole('button', { name: 'Leave' }).click();
  await expect(lesson(page)).toHaveCount(0);
});
