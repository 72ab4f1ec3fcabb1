import { readdirSync } from 'node:fs';
import { cpus } from 'node:os';
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { BenchCase, BenchRow } from './BenchCase.ts';
import { measureCase } from './measureCase.ts';

// `npm run bench` prints a table; `npm run -s bench -- --json` prints the rows; `--only TEXT` keeps the cases whose
// name contains it. Every file in rows/ exports `cases`.
const flags = process.argv.slice(2);
const asJson = flags.includes('--json');
const only = flags.includes('--only') ? (flags[flags.indexOf('--only') + 1] ?? '') : '';

const folder = resolve(import.meta.dirname, 'rows');
const rows: BenchRow[] = [];
for (const file of readdirSync(folder)
  .filter((name) => name.endsWith('.ts'))
  .sort()) {
  const { cases } = (await import(pathToFileURL(resolve(folder, file)).href)) as {
    cases: readonly BenchCase[];
  };
  for (const one of cases.filter(({ name }) => name.includes(only))) {
    process.stderr.write(`${one.name}, ${one.triangles.toLocaleString('en')} triangles …\n`);
    rows.push(await measureCase(one));
  }
}
process.stdout.write(asJson ? `${JSON.stringify({ rows })}\n` : `${table(rows)}\n`);

function table(all: readonly BenchRow[]): string {
  const lines = [['what', 'triangles', 'ours ms', 'stock ms', 'ratio']];
  for (const { name, triangles, oursMs, referenceMs, ratio } of all) {
    const ms = (value: number | null): string => (value === null ? '–' : value.toPrecision(4));
    lines.push([
      name,
      triangles.toLocaleString('en'),
      ms(oursMs),
      ms(referenceMs),
      ratio === null ? '–' : `${ratio.toFixed(2)}×`,
    ]);
  }
  const widths = lines[0].map((_, column) => Math.max(...lines.map((line) => line[column].length)));
  const text = lines.map((line) =>
    line.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]) : cell.padStart(widths[i]))).join('  '),
  );
  return [
    ...text,
    '',
    `Node ${process.version}, ${cpus()[0]?.model ?? 'unknown processor'}; ratio = stock ÷ ours.`,
  ].join('\n');
}
