import { spawnSync } from 'node:child_process';
import { resolve } from 'node:path';
import loadHighs from 'highs';
import { planBothArches } from '../../../src/core/reduction/planBothArches.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { BenchCase } from '../BenchCase.ts';
import { twentySixContacts } from '../twentySixContacts.ts';

export const cases: readonly BenchCase[] = [
  {
    name: 'plan: two arches each by itself, 26 contacts, 6 visits',
    triangles: 0,
    rounds: 9,
    setUp() {
      const { upper, lower } = twentySixContacts();
      return {
        ours: () => {
          for (let i = 0; i < 20; i++) planReduction(upper);
          return Array.from({ length: 20 }, () => planReduction(lower));
        },
        reference: null,
        repeats: 20,
      };
    },
  },
  {
    name: 'plan: two arches together with the anterior ratio, 26 contacts, 6 visits',
    triangles: 0,
    rounds: 7,
    async setUp() {
      const solver = await loadHighs();
      const pair = twentySixContacts();
      return { ours: () => planBothArches(pair, solver), reference: null };
    },
  },
  {
    // The first call of a process pays for the solver's code being compiled as it is first used.
    name: 'plan: the same as the first call of a fresh process, with the start of Node and the solver',
    triangles: 0,
    rounds: 3,
    setUp: () => ({ ours: planInFreshProcess, reference: null }),
  },
];

function planInFreshProcess(): void {
  const script = resolve(import.meta.dirname, '../planOnce.ts');
  const { status, stderr } = spawnSync(process.execPath, ['--import', 'tsx', script], { encoding: 'utf8' });
  if (status !== 0) throw new Error(`planOnce: ${stderr}`);
}
