import { readFileSync } from 'node:fs';
import { expect, type Locator, type Page, test } from '@playwright/test';
import type { TestingSeam } from '../../src/app/scene/testingSeam.ts';
import { distance, type Vec3 } from '../../src/core/base/Vec3.ts';
import { caseAccount } from '../../src/core/casefile/archAccount.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { COURSE_DEFAULTS } from '../../src/core/reduction/motion/CourseSettings.ts';
import { contactTiming } from '../../src/core/reduction/motion/contactTiming.ts';
import { plannedCourse } from '../../src/core/reduction/motion/plannedCourse.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import { graveFaults } from './graveFaults.ts';

// The arch the page opens with, moved to its plan: the same numbers as core's, in tables, strip and 3D alike.

const demo = readDocument(readFileSync('sample-meshes/lower-crowded.case.json', 'utf8'), 'case');
const record = demo.arches.lower!;
const { measures, asked } = caseAccount(demo).lower!;
const { marks } = record.readings[record.activeReading];
const planned = plannedCourse({
  measures,
  marks,
  plan: planReduction(asked!.request),
  settings: COURSE_DEFAULTS,
})!;
const { stageCount } = planned.course;
const TOOTH = 41;
const mesialMm: Vec3 = marks.find((m) => m.tooth === TOOTH && m.site === 'mesial')!.pointMm;

const shown = (value: number): string => value.toFixed(2).replace('-', '−');

const drawnAt = (page: Page): Promise<Vec3> =>
  page.evaluate(
    ([tooth, point]) =>
      (window as unknown as { archledger: TestingSeam }).archledger.drawnAt(tooth as number, point as Vec3),
    [TOOTH, mesialMm] as const,
  );

/** Cells of a row of one of the tables. */
const cellsOf = (grid: Locator, row: RegExp): Promise<string[]> =>
  grid.getByRole('row', { name: row }).locator('th, td').allTextContents();

test('teeth are moved to the planned arch by keyboard; tables, strip and 3D follow; the visits are taken over', async ({
  page,
}) => {
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(error.message));
  await page.goto('./');
  await expect(page.getByRole('application', { name: /Lower arch in 3D/ })).toBeVisible();
  await page.getByRole('tab', { name: 'Course' }).click();
  await expect(page.getByText(new RegExp(`^${stageCount} stages? to the planned arch`))).toBeVisible();
  const slider = page.getByRole('slider', { name: 'Stage' });
  const strip = page.getByRole('region', { name: /^Strip/ });

  await test.step('crowns are found without a click, and their surfaces compared', async () => {
    expect(await drawnAt(page)).toEqual(mesialMm);
    await expect(page.getByRole('radio', { name: 'Between surfaces' })).toBeEnabled({ timeout: 120_000 });
    await expect(page.getByRole('radio', { name: 'Between surfaces' })).toBeChecked();
  });

  await test.step('the tables say what core says, by widths', async () => {
    await page.getByText('By widths', { exact: true }).click();
    await expect(page.getByRole('radio', { name: 'By widths' })).toBeChecked();
    const contacts = page.getByRole('grid', { name: 'Contacts on the way' });
    for (const contact of planned.contacts) {
      const timing = contactTiming(contact, COURSE_DEFAULTS);
      const cells = await cellsOf(contacts, new RegExp(`Contact ${contact.teeth.join('.')}`));
      expect(cells[1]).toBe(shown(Math.max(0, -timing.gapNowMm)));
      expect(cells[2]).toBe(shown(Math.max(0, -timing.leastGapMm)));
      const needed = timing.neededByVisit === null ? 'not' : String(timing.neededByVisit);
      expect(cells[4].startsWith(needed)).toBe(true);
      expect(cells[6]).toBe(shown(timing.endGapMm));
    }
    const { moved } = planned.course.teeth.find(({ standing }) => standing.tooth === TOOTH)!;
    const teeth = page.getByRole('grid', { name: 'What moves where' });
    const cells = await cellsOf(teeth, new RegExp(`Tooth ${TOOTH}`));
    expect(cells[2]).toContain(shown(Math.abs(moved.outwardMm)));
    await page.getByText('Between surfaces', { exact: true }).click();
    await expect(page.getByRole('radio', { name: 'Between surfaces' })).toBeChecked();
  });

  await test.step('the slider goes by keys, and the crown with it', async () => {
    await slider.focus();
    await page.keyboard.press('ArrowRight');
    await expect(page.getByText(`1 of ${stageCount}`, { exact: true })).toBeVisible();
    await expect(strip.getByText('at stage 1', { exact: true })).toBeVisible();
    await expect.poll(async () => distance(await drawnAt(page), mesialMm)).toBeGreaterThan(0.02);
    const one = distance(await drawnAt(page), mesialMm);
    await page.keyboard.press('End');
    await expect(page.getByText(`${stageCount} of ${stageCount}`, { exact: true })).toBeVisible();
    await expect.poll(async () => distance(await drawnAt(page), mesialMm)).toBeGreaterThan(1.5 * one);
    await expect(page.getByText(`Crowns drawn at stage ${stageCount} of ${stageCount}`)).toBeVisible();
    expect(await graveFaults(page)).toEqual([]);
    await page.keyboard.press('Home');
    await expect(strip.getByText('as they stand', { exact: true })).toBeVisible();
    await expect.poll(() => drawnAt(page)).toEqual(mesialMm);
  });

  await test.step('Play runs to the end and stops there', async () => {
    await page.getByRole('button', { name: 'Play' }).click();
    await expect(page.getByText(`${stageCount} of ${stageCount}`, { exact: true })).toBeVisible({
      timeout: 60_000,
    });
    await expect(page.getByRole('button', { name: 'Play' })).toBeVisible();
  });

  await test.step('other stages between visits, visits taken over in one step, and taken back', async () => {
    const perVisit = page.getByRole('textbox', { name: 'Stages between visits' });
    await perVisit.fill('2');
    await perVisit.press('Enter');
    const take = page.getByRole('button', { name: /^Take over/ });
    await expect(take).toBeEnabled();
    await take.click();
    await expect(take).toBeDisabled();
    await expect(page.getByText('The plan already counts with these visits.')).toBeVisible();
    await page.getByRole('button', { name: /^Undo/ }).click();
    await expect(take).toBeEnabled();
  });

  await test.step('leaving the tab puts the teeth back', async () => {
    await page.getByRole('tab', { name: 'Account' }).click();
    await expect(strip.getByText('as they stand', { exact: true })).toBeVisible();
    await expect.poll(() => drawnAt(page)).toEqual(mesialMm);
  });
  expect(faults).toEqual([]);
});
