import { createHash } from 'node:crypto';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sampleNames, writeSample } from '../../src/samples/sampleCommand.ts';
import { shippedSamples } from '../../src/samples/shippedSamples.ts';
import type { ShippedSample } from '../../src/samples/shipSamples.ts';

const folder = fileURLToPath(new URL('../../sample-meshes/', import.meta.url));
let fresh = '';
let index: readonly ShippedSample[] = [];
beforeAll(async () => {
  fresh = await mkdtemp(join(tmpdir(), 'samples-'));
  index = JSON.parse(await readFile(join(folder, 'index.json'), 'utf8'));
});
afterAll(() => rm(fresh, { recursive: true, force: true }));

/** Every number of a value, in order, and everything else as text. */
function flatten(value: unknown, numbers: number[], rest: string[]): void {
  if (typeof value === 'number') numbers.push(value);
  else if (Array.isArray(value)) for (const v of value) flatten(v, numbers, rest);
  else if (value && typeof value === 'object')
    for (const [k, v] of Object.entries(value)) {
      rest.push(k);
      flatten(v, numbers, rest);
    }
  else rest.push(String(value));
}

it('lists every named sample, at least the six the project promises', () => {
  expect(index.map((s) => s.name)).toEqual(shippedSamples.map((s) => s.name));
  for (const name of [
    'lower-crowded',
    'lower-aligned',
    'upper-crowded',
    'upper-spaced',
    'pair-upper',
    'pair-lower',
  ])
    expect(sampleNames).toContain(name);
  expect(new Set(shippedSamples.map((s) => s.format)).size).toBe(2);
});

describe.each(shippedSamples)('shipped sample $name', (sample) => {
  it('is intact and equals a fresh generation', async () => {
    const entry = index.find((s) => s.name === sample.name)!;
    const shipped = await readFile(join(folder, entry.file));
    expect(createHash('sha256').update(shipped).digest('hex')).toBe(entry.sha256);
    expect(shipped.length).toBe(entry.byteCount);
    const [meshFile, ...tellings] = await writeSample(sample.name, fresh);
    expect(tellings.map((file) => basename(file))).toEqual(
      [entry.truth, entry.change].filter((file) => file !== undefined),
    );
    for (const file of tellings) {
      const [was, is]: [number[], string[]][] = [
        [[], []],
        [[], []],
      ];
      flatten(JSON.parse(await readFile(join(folder, basename(file)), 'utf8')), ...was);
      flatten(JSON.parse(await readFile(file, 'utf8')), ...is);
      expect(is[1]).toEqual(was[1]);
      // another JavaScript engine may round a sine's last bit differently; packing stops within 2e-4 mm
      is[0].forEach((x, i) => {
        expect(Math.abs(x - was[0][i])).toBeLessThan(1e-3);
      });
    }
    const again = await readFile(meshFile);
    if (process.version.startsWith('v20.')) expect(again.equals(shipped)).toBe(true);
    else expect(Math.abs(again.length / shipped.length - 1)).toBeLessThan(0.002);
  });
});

it('refuses an unknown name and lists those known', async () => {
  await expect(writeSample('nobody', fresh)).rejects.toThrow('lower-crowded');
});
