import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { ArchRecipe } from './ArchRecipe.ts';
import { makeArch } from './makeArch.ts';
import { laterArch } from './makeBeforeAfter.ts';
import { shippedSamples } from './shippedSamples.ts';
import { writePly, writeStl } from './writeMesh.ts';

/** Names `writeSample` knows. */
export const sampleNames: readonly string[] = shippedSamples.map((s) => s.name);

/** The recipe a bare seed stands for: even seeds lower, odd upper; crowding 0 to 5 mm, any pose. */
const seededRecipe = (seed: number): ArchRecipe => ({
  jaw: seed % 2 === 0 ? 'lower' : 'upper',
  seed,
  crowdingMm: ((seed * 7) % 11) / 2,
  pose: 'any',
});

/**
 * Makes one sample and writes its mesh and `NAME.truth.json` into `outDir` (made if absent), beside a later
 * scan's also `NAME.change.json`. Returns the paths written, the mesh first. Throws for an unknown name,
 * listing those known.
 */
export async function writeSample(nameOrSeed: string | number, outDir: string): Promise<readonly string[]> {
  const named = shippedSamples.find((s) => s.name === nameOrSeed);
  if (!named && typeof nameOrSeed === 'string')
    throw new Error(
      `writeSample: no sample named ${nameOrSeed}; got "${nameOrSeed}", need one of ${sampleNames.join(', ')}.`,
    );
  const name = named?.name ?? `seed-${nameOrSeed}`;
  const first = makeArch(named?.recipe ?? seededRecipe(Number(nameOrSeed)), named?.later?.of ?? name);
  const later = named?.later && laterArch(first, named.later.change, name);
  const arch = later?.after ?? first;
  const format = named?.format ?? 'ply';
  await mkdir(outDir, { recursive: true });
  const files: [string, Uint8Array | string][] = [
    [`${name}.${format}`, format === 'stl' ? writeStl(arch.mesh) : writePly(arch.mesh)],
    [`${name}.truth.json`, jsonText(arch.truth)],
  ];
  if (later) files.push([`${name}.change.json`, jsonText(later.change)]);
  for (const [file, content] of files) await writeFile(join(outDir, file), content);
  return files.map(([file]) => join(outDir, file));
}

const jsonText = (value: unknown): string => `${JSON.stringify(value, null, 1)}\n`;
