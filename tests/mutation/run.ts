import { Stryker } from '@stryker-mutator/core';
import { mutatedPaths, ROOMS } from './scope.ts';

// Mutation testing: npm run mutation; some rooms or files: npm run mutation -- space reduction/planReduction.ts
// Every change of the code that no test sees is printed, then the score of each room.

const words = process.argv.slice(2);
const paths = mutatedPaths(words);
process.env.ARCHLEDGER_MUTATION = words.join(' '); // for vitest.config.ts, in the process of the tests

const FOLDER = 'test-results/mutation';
const results = await new Stryker({
  mutate: paths.map((path) => `src/core/${path}`),
  plugins: ['@stryker-mutator/vitest-runner'],
  testRunner: 'vitest',
  vitest: { configFile: 'tests/mutation/vitest.config.ts', related: false },
  coverageAnalysis: 'perTest',
  // Words shown to people, and objects emptied: what types refuse or what only a copy of the text could test.
  mutator: { excludedMutations: ['StringLiteral', 'ObjectLiteral'] },
  ignoreStatic: true, // tables of published figures: held by tests of their own, and each would run every test
  concurrency: 1,
  timeoutMS: 20_000,
  timeoutFactor: 4,
  tempDirName: `${FOLDER}/sandbox`,
  ignorePatterns: ['dist', 'sample-meshes', 'test-results', 'src/app/public'],
  tsconfigFile: 'none', // nothing of it concerns a run of tests
  reporters: ['clear-text', 'json', 'progress-append-only'],
  clearTextReporter: { allowColor: false, allowEmojis: false, reportTests: false },
  jsonReporter: { fileName: `${FOLDER}/report.json` },
}).runMutationTest();

for (const room of ROOMS) {
  const own = results.filter(({ fileName }) => fileName.includes(`/core/${room}/`));
  const count = (...states: readonly string[]) => own.filter(({ status }) => states.includes(status)).length;
  const seen = count('Killed', 'Timeout');
  const unseen = count('Survived', 'NoCoverage');
  if (seen + unseen > 0)
    console.log(
      `${room}: ${seen} of ${seen + unseen} seen, ${((100 * seen) / (seen + unseen)).toFixed(1)} %`,
    );
}
