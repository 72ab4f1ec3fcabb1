import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Browser } from 'playwright';

const FOLDER = fileURLToPath(new URL('../../src/app/public/icons/', import.meta.url));

/** Drawing, size in pixels and the picture made of it. */
const ICONS = [
  ['icon.svg', 192, 'icon-192.png'],
  ['icon.svg', 512, 'icon-512.png'],
  ['icon-maskable.svg', 512, 'icon-maskable-512.png'],
] as const;

/** Draws the icons of the installed page from their SVG. */
export async function drawIcons(browser: Browser): Promise<void> {
  for (const [drawing, sizePx, picture] of ICONS) {
    const page = await browser.newPage({ viewport: { width: sizePx, height: sizePx } });
    const svg = readFileSync(`${FOLDER}${drawing}`, 'utf8').replace(
      '<svg ',
      `<svg width="${sizePx}" height="${sizePx}" `,
    );
    await page.setContent(
      `<body style="margin:0">${svg.replace('<svg ', '<svg style="display:block" ')}</body>`,
    );
    writeFileSync(`${FOLDER}${picture}`, await page.screenshot({ omitBackground: true }));
    await page.close();
    console.log(`icon ${picture}: ${sizePx} px`);
  }
}
