import { readFileSync } from 'node:fs';
import { expect, type Locator, type Page } from '@playwright/test';
import { caseAccount } from '../../src/core/casefile/archAccount.ts';
import type { CaseDocument } from '../../src/core/casefile/CaseDocument.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import { dueInVisit } from '../../src/core/visits/restOfPlan.ts';

export const LATER = 'sample-meshes/lower-crowded-finish.ply';

// What the demo plans: the same numbers as core's.
export const demo = readDocument(readFileSync('sample-meshes/lower-crowded.case.json', 'utf8'), 'case');
export const plan = planReduction(caseAccount(demo).lower!.asked!.request);
export const dueAt = new Map(
  plan.contacts.map((contact) => [contact.teeth.join('–'), dueInVisit(contact, 1)]),
);
export const dueMm = [...dueAt.values()].reduce((sum, value) => sum + value, 0);

export const numberIn = (text: string): number =>
  Number.parseFloat(text.replace('\u2212', '-').replace(/^\+/, ''));

export async function firstStart(page: Page): Promise<void> {
  // Printing itself is the browser's; the sheets are looked at by the print medium and as a PDF.
  await page.addInitScript(() => {
    window.print = () => {};
  });
  await page.goto('./');
  await expect(page.getByRole('application', { name: /arch in 3D/ })).toBeVisible({ timeout: 60_000 });
  await page.getByRole('tab', { name: 'Visits' }).click();
  await expect(page.getByText('Nothing taken yet', { exact: true })).toBeVisible();
}

export const panel = (page: Page): Locator => page.getByRole('tabpanel', { name: 'Visits' });
export const amountAt = (page: Page, contact: string): Locator =>
  page.getByRole('textbox', { name: `Gauge that passes at ${contact}, mm` });

/** A figure of the verdict's own four: "taken so far", "in excess" … with its SD. */
export async function figure(page: Page, name: string): Promise<{ value: number; sd: number }> {
  const cell = panel(page).locator('.sums div').filter({ hasText: name }).locator('dd');
  const [value, sd] = ((await cell.textContent()) ?? '').split('±');
  return { value: numberIn(value), sd: numberIn(sd ?? '') };
}

/** A table as rows of cell texts by the contact that names them; a cell begins with its figure, the SD follows. */
export async function table(section: Locator): Promise<Map<string, readonly string[]>> {
  const rows = await section
    .locator('tbody tr')
    .evaluateAll((all) =>
      all.map((row) => [...row.querySelectorAll('th, td')].map((cell) => cell.textContent ?? '')),
    );
  return new Map(rows.map(([name, ...cells]) => [/^[\d–]*/.exec(name)?.[0] ?? name, cells]));
}

export async function openFollowUp(page: Page, path: string): Promise<void> {
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open a follow-up scan…' }).click();
  await (await choosing).setFiles(path);
  await page.getByRole('dialog').getByRole('button', { name: 'Read and compare' }).click();
}

/** The case as the browser keeps it, once it is saved. */
export async function keptCase(page: Page): Promise<CaseDocument> {
  await expect(page.locator('.bar__saved')).toContainText(/^Saved/);
  return page.evaluate(async () => {
    const opening = indexedDB.open('archledger');
    const database: IDBDatabase = await new Promise((resolve, reject) => {
      opening.onsuccess = () => resolve(opening.result);
      opening.onerror = () => reject(opening.error);
    });
    const asking = database.transaction('cases').objectStore('cases').getAll();
    const [stored] = await new Promise<{ json: string }[]>((resolve) => {
      asking.onsuccess = () => resolve(asking.result);
    });
    database.close();
    return JSON.parse(stored.json);
  });
}

export async function choosePrint(page: Page, sheets: readonly string[]): Promise<void> {
  await page.emulateMedia({ media: 'screen' });
  await page.getByRole('button', { name: /^Print/ }).click();
  const dialog = page.getByRole('dialog', { name: 'Print' });
  for (const sheet of ['Account and plan', 'Visit sheet', 'Report']) {
    const box = dialog.getByRole('checkbox', { name: new RegExp(`^${sheet}`) });
    if ((await box.isChecked()) !== sheets.includes(sheet))
      await dialog.locator('label').filter({ hasText: sheet }).first().click();
  }
  await dialog.getByRole('button', { name: 'Print', exact: true }).click();
  await expect(dialog).toBeHidden();
}

export async function pages(page: Page, format: 'A4' | 'Letter'): Promise<number> {
  const pdf = (await page.pdf({ format })).toString('latin1');
  return (pdf.match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
}

/** The page opened again: what was kept is there. */
export async function firstStartAgain(page: Page): Promise<void> {
  await page.goto('./');
  await expect(page.getByRole('application', { name: /arch in 3D/ })).toBeVisible({ timeout: 60_000 });
  await page.getByRole('tab', { name: 'Visits' }).click();
}
