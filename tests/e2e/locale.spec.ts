import { expect, test } from '@playwright/test';

// A browser in a language with a decimal comma, on the other side of the world: a tenth stays a tenth.

for (const locale of ['de-DE', 'en-US'])
  test.describe(locale, () => {
    test.use({ locale, timezoneId: 'Pacific/Auckland' });

    test('numbers show points, and point and comma are typed and pasted alike', async ({ page, context }) => {
      await context.grantPermissions(['clipboard-read', 'clipboard-write']);
      await page.goto('./');
      await expect(page.getByRole('application', { name: /Lower arch in 3D/ })).toBeVisible();
      expect(await page.evaluate(() => (1.5).toLocaleString())).toBe(locale === 'de-DE' ? '1,5' : '1.5');
      await page.getByRole('tab', { name: 'Plan' }).click();
      const most = page.getByRole('textbox', { name: 'Most per contact and visit' });
      await expect(most).toHaveValue(/^0\.\d+$/);
      for (const [typed, shown] of [
        ['0,3', '0.3'],
        ['0.2', '0.2'],
        ['0,4', '0.4'],
      ]) {
        await most.click();
        await page.keyboard.press('ControlOrMeta+a');
        await page.keyboard.type(typed);
        await page.keyboard.press('Enter');
        await expect(most, typed).toHaveValue(new RegExp(`^${shown.replace('.', '\\.')}0*$`));
      }
      await page.evaluate(() => navigator.clipboard.writeText('0,5'));
      await most.click();
      await page.keyboard.press('ControlOrMeta+a');
      await page.keyboard.press('ControlOrMeta+v');
      await page.keyboard.press('Enter');
      await expect(most).toHaveValue(/^0\.50*$/);
      await expect(page.getByText(/^Saved /)).toBeVisible();
      await page.reload();
      await page.getByRole('tab', { name: 'Plan' }).click();
      await expect(most).toHaveValue(/^0\.50*$/);
    });
  });
