import { readFileSync } from 'node:fs';
import { expect, test } from '@playwright/test';
import { caseAccount } from '../../src/core/casefile/archAccount.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';

// What a new user sees first: an arch measured and planned, and a page that keeps to itself.

const demo = readDocument(readFileSync('sample-meshes/lower-crowded.case.json', 'utf8'), 'case');
const { ledger, asked } = caseAccount(demo).lower!;
const fixed = (value: number): string => value.toFixed(2).replace('-', '−');

test('opens on a sample arch measured and planned, and sends nothing anywhere', async ({ page, baseURL }) => {
  const asking: string[] = [];
  page.on('request', (request) => {
    const isOwn = request.url().startsWith(baseURL!) || /^(blob|data):/.test(request.url());
    if (!isOwn || request.method() !== 'GET' || request.postData() !== null)
      asking.push(`${request.method()} ${request.url()}`);
  });
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(String(error)));

  await page.goto('./');
  const stage = page.getByRole('application', { name: /Lower arch in 3D/ });
  await expect(stage).toBeVisible();
  await expect(page.getByLabel('Case title')).toHaveValue(demo.title);
  await expect(page.getByText(`= ${fixed(ledger.differenceMm!)} mm`).first()).toBeVisible();
  await expect(page.getByText('28 of 28 points confirmed')).toBeVisible();

  await page.getByRole('tab', { name: 'Plan' }).click();
  const plan = planReduction(asked!.request);
  await expect(page.getByText(`${plan.plannedMm.toFixed(1)} mm in all.`)).toBeVisible();
  await expect(page.getByText('Not a medical device', { exact: false }).first()).toBeVisible();

  // The first change makes it the user's own, and it is there again without the demo.
  await page.getByLabel('Case title').fill('Changed');
  await page.getByLabel('Case title').press('Enter');
  await expect(page.getByText(/^Saved /)).toBeVisible();
  await page.reload();
  await expect(stage).toBeVisible();
  await expect(page.getByLabel('Case title')).toHaveValue('Changed');
  await expect(page.getByText(`= ${fixed(ledger.differenceMm!)} mm`).first()).toBeVisible();
  expect(asking).toEqual([]);
  expect(faults).toEqual([]);
});

test('the pair opens with both arches and their tooth-size ratio', async ({ page }) => {
  const pair = readDocument(readFileSync('sample-meshes/pair.case.json', 'utf8'), 'case');
  const account = caseAccount(pair);
  await page.goto('./');
  await expect(page.getByRole('application', { name: /Lower arch in 3D/ })).toBeVisible();
  await page.getByRole('button', { name: /^Case/ }).click();
  await page.getByRole('menuitem', { name: 'Sample arches…' }).click();
  await page.getByRole('button', { name: 'Open pair measured' }).click();
  await expect(page.getByLabel('Case title')).toHaveValue(pair.title);
  for (const jaw of ['Upper', 'Lower'] as const) {
    await page.getByRole('radio', { name: jaw, exact: true }).click();
    const own = account[jaw === 'Upper' ? 'upper' : 'lower']!.ledger;
    await expect(page.getByText(`= ${fixed(own.differenceMm!)} mm`).first()).toBeVisible();
  }
  await page.getByRole('tab', { name: 'Teeth' }).click();
  await expect(page.getByText(fixed(account.ratios!.overall.percent!)).first()).toBeVisible();
});
