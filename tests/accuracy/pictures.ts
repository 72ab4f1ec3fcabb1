import { existsSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium, type Page } from 'playwright';
import { build, preview } from 'vite';
import { drawIcons } from './icons.ts';

// Makes the pictures of README from the built page, and the icons of the installed one. Run: npm run pictures

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const FOLDER = fileURLToPath(new URL('./pictures/', import.meta.url));
const CHROMIUM = process.env.ARCHLEDGER_CHROMIUM ?? '/usr/bin/chromium';
const SIZE = { width: 1440, height: 900 };
const MOST_BYTES = 400_000;
const SETTLED_MS = 2500; // software drawing: the last frame comes late

const pictures: readonly { readonly name: string; readonly lead: (page: Page) => Promise<void> }[] = [
  { name: 'workbench', lead: async () => {} },
  {
    name: 'plan',
    lead: async (page) => {
      await page.getByRole('tab', { name: 'Plan' }).click();
      await page.getByRole('radio', { name: 'After the plan' }).click();
    },
  },
];

const outDir = mkdtempSync(join(tmpdir(), 'archledger-pictures-'));
await build({ root: ROOT, logLevel: 'warn', build: { outDir, emptyOutDir: true } });
const server = await preview({
  build: { outDir },
  root: ROOT,
  logLevel: 'warn',
  preview: { port: 0, host: '127.0.0.1' },
});
const browser = await chromium.launch({
  executablePath: existsSync(CHROMIUM) ? CHROMIUM : undefined,
  args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'],
});
try {
  await drawIcons(browser);
  for (const { name, lead } of pictures) {
    const page = await browser.newPage({ viewport: SIZE, colorScheme: 'light' });
    await page.goto(server.resolvedUrls!.local[0]);
    await page.getByRole('tab', { name: 'Account' }).waitFor();
    await page.getByRole('application', { name: /arch in 3D/ }).waitFor();
    await page.waitForFunction(() => 'archledger' in window);
    await page.waitForTimeout(SETTLED_MS);
    await lead(page);
    await page.waitForTimeout(SETTLED_MS);
    const path = join(FOLDER, `${name}.jpg`);
    await page.screenshot({ path, type: 'jpeg', quality: 86 });
    const bytes = statSync(path).size;
    console.log(`${name}: ${Math.round(bytes / 1000)} kB`);
    if (bytes > MOST_BYTES) throw new Error(`${name}: got ${bytes} bytes, need at most ${MOST_BYTES}.`);
    await page.close();
  }
} finally {
  await browser.close();
  await new Promise((done) => server.httpServer.close(done));
  rmSync(outDir, { recursive: true, force: true });
}
