import type { Page } from '@playwright/test';

/** What has the focus, as a person at the keyboard knows it. */
export interface Focused {
  readonly role: string;
  readonly name: string;
  readonly isRinged: boolean; // an outline shows where it is
}

const focused = (page: Page): Promise<Focused> =>
  page.evaluate(() => {
    const at = document.activeElement as HTMLElement | null;
    const style = at ? getComputedStyle(at) : null;
    return {
      name: (at?.getAttribute('aria-label') ?? at?.textContent ?? '').trim().slice(0, 80),
      role: at?.getAttribute('role') ?? at?.tagName.toLowerCase() ?? '',
      isRinged: style !== null && style.outlineStyle !== 'none' && Number.parseFloat(style.outlineWidth) >= 1,
    };
  });

/**
 * Walks with Tab to what has this role and name, and returns all it came by. The 3D view keeps Tab for its sites;
 * Escape hands it on.
 */
export async function walkTo(
  page: Page,
  role: string,
  name: RegExp,
  mostSteps = 60,
): Promise<readonly Focused[]> {
  const order: Focused[] = [];
  for (let i = 0; i < mostSteps; i++) {
    await page.keyboard.press('Tab');
    const at = await focused(page);
    order.push(at);
    if (at.role === role && name.test(at.name)) return order;
    if (at.role === 'application') await page.keyboard.press('Escape');
  }
  throw new Error(
    `${name} is not reached; the order is ${order.map((at) => `${at.role} ${at.name}`).join(' | ')}`,
  );
}
