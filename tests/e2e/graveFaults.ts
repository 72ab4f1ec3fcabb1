import AxeBuilder from '@axe-core/playwright';
import type { Page } from '@playwright/test';

/** Serious and critical faults of accessibility on the page as it stands, each with its places. */
export async function graveFaults(page: Page): Promise<readonly string[]> {
  // A dialog is looked at once it has faded in.
  await page.waitForTimeout(300);
  const { violations } = await new AxeBuilder({ page }).analyze();
  return violations
    .filter((v) => v.impact === 'serious' || v.impact === 'critical')
    .map((v) => `${v.id}: ${v.nodes.map((n) => `${n.target.join(' ')} ${n.html}`).join(', ')}`);
}
