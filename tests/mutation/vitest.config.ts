import { defineConfig } from 'vitest/config';
import { mutatedPaths, testsOf } from './scope.ts';

// For mutation testing only: the tests of the rooms that ./run.ts names in the environment.
const { include, exclude } = testsOf(
  mutatedPaths((process.env.ARCHLEDGER_MUTATION ?? '').split(' ').filter(Boolean)),
);

export default defineConfig({
  test: { include, exclude, environment: 'node', testTimeout: 60_000, hookTimeout: 120_000 },
});
