import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromiumForTests } from './chromium.mjs';
import { installIfNeeded, ROOT, requireNode } from './install.mjs';

// Everything that has to hold, in one run: style, types, unit tests, build, browser stories. Stages that do not
// depend on a failed one still run. The last line is `N passed, N failed`.
requireNode();
installIfNeeded();

const reports = mkdtempSync(join(tmpdir(), 'archledger-test-'));
const unitReport = join(reports, 'unit.json');
const storyReport = join(reports, 'stories.json');
const env = { ...process.env };
if (env.CI) {
  env.NO_COLOR = '1';
  delete env.FORCE_COLOR;
}

const TOOLS = {
  biome: '@biomejs/biome/bin/biome',
  tsc: 'typescript/bin/tsc',
  vitest: 'vitest/vitest.mjs',
  vite: 'vite/bin/vite.js',
  playwright: '@playwright/test/cli.js',
};

const stages = [];

/** Runs one tool to its end and notes how long it took and how it ended. */
function stage(name, runs, more = {}) {
  console.log(`\n== ${name}`);
  const startMs = performance.now();
  let code = 0;
  for (const [tool, ...words] of runs) {
    const path = join(ROOT, 'node_modules', TOOLS[tool]);
    const run = spawnSync(process.execPath, [path, ...words], {
      cwd: ROOT,
      stdio: ['ignore', 'inherit', 'inherit'],
      env: { ...env, ...more },
    });
    if (run.error) console.error(`${name}: ${run.error.message}`);
    if (run.status !== 0 && code === 0) code = run.status ?? 1;
  }
  stages.push({ name, code, seconds: (performance.now() - startMs) / 1000 });
  return code === 0;
}

stage('lint', [['biome', 'check', ...(env.CI ? ['--colors=off'] : []), '.']]);
stage(
  'types',
  ['tsconfig.core.json', 'tsconfig.json', 'tsconfig.node.json'].map((config) => [
    'tsc',
    '-p',
    config,
    '--pretty',
    env.CI ? 'false' : 'true',
  ]),
);
stage('unit', [
  ['vitest', 'run', '--reporter=default', '--reporter=json', `--outputFile.json=${unitReport}`],
]);
const built = stage('build', [['vite', 'build', '--logLevel', 'warn']]);
const browser = built ? chromiumForTests() : null;
if (browser) {
  stage('stories', [['playwright', 'test', '--reporter=list,json']], {
    ARCHLEDGER_BUILT: '1',
    ARCHLEDGER_CHROMIUM: browser,
    ARCHLEDGER_E2E_PORT: env.ARCHLEDGER_E2E_PORT ?? String(await freePort()),
    PLAYWRIGHT_JSON_OUTPUT_FILE: storyReport,
  });
} else {
  const why = built
    ? 'no Chromium was found and none could be installed; install it (Debian: apt-get install chromium), then run this again'
    : 'the build failed';
  console.error(`\n== stories\nstories: not run, ${why}.`);
  stages.push({ name: 'stories', code: 1, seconds: 0 });
}

const counts = { passed: 0, failed: 0, skipped: 0 };
count('unit', unitReport, (report) => {
  // A file that could not even be loaded has no tests to count; it counts as one that failed.
  const unloaded = report.testResults.filter(
    (file) => file.status === 'failed' && file.assertionResults.length === 0,
  ).length;
  counts.passed += report.numPassedTests;
  counts.failed += report.numFailedTests + unloaded;
  counts.skipped += report.numPendingTests + report.numTodoTests;
});
count('stories', storyReport, ({ stats, errors }) => {
  counts.passed += stats.expected + stats.flaky;
  counts.failed += stats.unexpected + (stats.unexpected === 0 ? errors.length : 0);
  counts.skipped += stats.skipped;
});
rmSync(reports, { recursive: true, force: true });

console.log('\n== durations');
for (const { name, code, seconds } of stages) {
  console.log(`${name.padEnd(8)} ${seconds.toFixed(1).padStart(7)} s  ${code === 0 ? 'ok' : 'FAILED'}`);
}
const skipped = counts.skipped > 0 ? `, ${counts.skipped} skipped` : '';
process.exitCode = stages.find(({ code }) => code !== 0)?.code ?? (counts.failed > 0 ? 1 : 0);
console.log(`${counts.passed} passed, ${counts.failed} failed${skipped}`);

/** Adds the counts of a stage's report; a stage that failed without leaving any counts as one failure. */
function count(name, path, add) {
  const failedBefore = counts.failed;
  try {
    add(JSON.parse(readFileSync(path, 'utf8')));
  } catch {
    // no report: the stage died or did not run
  }
  const failed = stages.find((one) => one.name === name)?.code !== 0;
  if (failed && counts.failed === failedBefore) counts.failed++;
}

/** A port nobody listens on just now. */
function freePort() {
  return new Promise((resolve, reject) => {
    const server = createServer().once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const { port } = server.address();
      server.close(() => resolve(port));
    });
  });
}
