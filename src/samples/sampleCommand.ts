import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { ArchRecipe } from './ArchRecipe.ts';
import { makeArch } from './makeArch.ts';
import { namedSamples } from './namedSamples.ts';
import { writePly, writeStl } from './writeMesh.ts';

/** Names `writeSample` knows. */
export const sampleNames: readonly string[] = namedSamples.map((s) => s.name);

/** The recipe a bare seed stands for: even seeds lower, odd upper; crowding 0 to 5 mm, any pose. */
export const seededRecipe = (seed: number): ArchRecipe => ({
  jaw: seed % 2 === 0 ? 'lower' : 'upper',
  seed,
  crowdingMm: ((seed * 7) % 11) / 2,
  pose: 'any',
});

/**
 * Makes one sample and writes its mesh and `NAME.truth.json` into `outDir` (made if absent).
 * Returns the paths written, the mesh first. Throws for an unknown name, listing those known.
 */
export async function writeSample(nameOrSeed: string | number, outDir: string): Promise<readonly string[]> {
  const named = namedSamples.find((s) => s.name === nameOrSeed);
  if (!named && typeof nameOrSeed === 'string')
    throw new Error(
      `writeSample: no sample named ${nameOrSeed}; got "${nameOrSeed}", need one of ${sampleNames.join(', ')}.`,
    );
  const name = named?.name ?? `seed-${nameOrSeed}`;
  const arch = makeArch(named?.recipe ?? seededRecipe(Number(nameOrSeed)), name);
  const format = named?.format ?? 'ply';
  await mkdir(outDir, { recursive: true });
  const meshFile = join(outDir, `${name}.${format}`);
  const truthFile = join(outDir, `${name}.truth.json`);
  await writeFile(meshFile, format === 'stl' ? writeStl(arch.mesh) : writePly(arch.mesh));
  await writeFile(truthFile, `${JSON.stringify(arch.truth, null, 1)}\n`);
  return [meshFile, truthFile];
}
