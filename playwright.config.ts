import { existsSync } from 'node:fs';
import { defineConfig } from '@playwright/test';

const PORT = Number(process.env.ARCHLEDGER_E2E_PORT ?? 4319);
const CHROMIUM = process.env.ARCHLEDGER_CHROMIUM ?? '/usr/bin/chromium';
/** Where the built page lies. */
const DIST = process.env.ARCHLEDGER_DIST ?? 'dist';
const preview = `node node_modules/vite/bin/vite.js preview --outDir ${DIST} --port ${PORT} --strictPort --host 127.0.0.1`;

export default defineConfig({
  testDir: 'tests/e2e',
  // Software drawing and two cores: one browser at a time, and patience.
  workers: 1,
  fullyParallel: false,
  // A story that fails and then holds is told as flaky: timing on a shared machine, to be looked into.
  retries: 1,
  timeout: 180_000,
  expect: { timeout: 30_000 },
  reporter: [['list']],
  outputDir: 'test-results',
  use: {
    baseURL: `http://127.0.0.1:${PORT}/`,
    actionTimeout: 90_000, // an action that waits for what never comes fails before its story's time is out
    viewport: { width: 1440, height: 900 },
    serviceWorkers: 'block', // each story would fetch the offline copy; offline.spec.ts allows it
    trace: 'off',
    video: 'off',
    screenshot: 'off',
    launchOptions: {
      executablePath: existsSync(CHROMIUM) ? CHROMIUM : undefined,
      args: [
        '--no-sandbox',
        '--use-angle=swiftshader',
        '--enable-unsafe-swiftshader',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        '--no-first-run',
      ],
    },
  },
  webServer: {
    // `npm test` has built already; alone, the stories build what they test.
    command: process.env.ARCHLEDGER_BUILT
      ? preview
      : `node node_modules/vite/bin/vite.js build --outDir ${DIST} --emptyOutDir && ${preview}`,
    url: `http://127.0.0.1:${PORT}/`,
    reuseExistingServer: false,
    timeout: 180_000,
    stdout: 'ignore',
    stderr: 'pipe',
  },
});
