import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { AccuracyGroup, AccuracyRow } from './AccuracyRow.ts';
import { compare } from './rows/compare.ts';
import { course } from './rows/course.ts';
import { crowns } from './rows/crowns.ts';
import { demo } from './rows/demo.ts';
import { figures } from './rows/figures.ts';
import { frame } from './rows/frame.ts';
import { measures } from './rows/measures.ts';
import { plan } from './rows/plan.ts';
import { propose } from './rows/propose.ts';
import { separation } from './rows/separation.ts';
import { snap } from './rows/snap.ts';
import { withTable } from './table.ts';

// Runs the experiments and rewrites the table in README. All: npm run accuracy; some: npm run accuracy -- snap plan

const README = fileURLToPath(new URL('../../README.md', import.meta.url));
const RESULTS = fileURLToPath(new URL('./results.json', import.meta.url));

/** In the order of the table. */
const GROUPS: readonly AccuracyGroup[] = [
  snap,
  propose,
  separation,
  demo,
  frame,
  crowns,
  measures,
  compare,
  plan,
  course,
  figures,
];

const wanted = process.argv.slice(2);
const unknown = wanted.filter((name) => !GROUPS.some((group) => group.name === name));
if (unknown.length > 0) {
  console.error(
    `accuracy: no such part: ${unknown.join(', ')}; need ${GROUPS.map((g) => g.name).join(', ')}.`,
  );
  process.exit(2);
}

const kept: Record<string, readonly AccuracyRow[]> = existsSync(RESULTS)
  ? JSON.parse(readFileSync(RESULTS, 'utf8'))
  : {};
const results: Record<string, readonly AccuracyRow[]> = {};
for (const { name, rows } of GROUPS) {
  if (wanted.length > 0 && !wanted.includes(name)) {
    results[name] = kept[name] ?? [];
    continue;
  }
  console.error(`== ${name}`);
  const found = await rows((line) => console.error(`${name}: ${line}`));
  // Real surfaces that are not at hand here keep their rows; they are named as real.
  results[name] = found.length > 0 ? found : (kept[name] ?? []);
}
const all = Object.values(results).flat();
writeFileSync(RESULTS, `${JSON.stringify(results, null, 2)}\n`);
writeFileSync(README, withTable(readFileSync(README, 'utf8'), all));
for (const { what, on, typical, worst, bound, holds } of all)
  console.log(`${holds ? 'ok  ' : 'OFF '} ${what} — ${on}: ${typical}, ${worst} (${bound})`);
if (all.some(({ holds }) => !holds)) process.exitCode = 1;
