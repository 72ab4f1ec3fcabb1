import { createHash } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { writeSample } from './sampleCommand.ts';
import { shippedSamples } from './shippedSamples.ts';

/** One line of sample-meshes/index.json. */
export interface ShippedSample {
  readonly name: string;
  readonly file: string;
  readonly truth: string;
  readonly change?: string; // what was done since the earlier scan, where this is a later one
  readonly jaw: 'upper' | 'lower';
  readonly shows: string;
  readonly byteCount: number;
  readonly sha256: string; // of the mesh file, lower-case hex
}

/** Writes every named sample and index.json into a folder. Run: npx tsx src/samples/shipSamples.ts sample-meshes */
export async function shipSamples(outDir: string): Promise<readonly ShippedSample[]> {
  const list: ShippedSample[] = [];
  for (const sample of shippedSamples) {
    const [meshFile, truthFile, changeFile] = await writeSample(sample.name, outDir);
    const bytes = await readFile(meshFile);
    list.push({
      name: sample.name,
      file: basename(meshFile),
      truth: basename(truthFile),
      ...(changeFile ? { change: basename(changeFile) } : {}),
      jaw: sample.recipe.jaw,
      shows: sample.shows,
      byteCount: bytes.length,
      sha256: createHash('sha256').update(bytes).digest('hex'),
    });
  }
  await writeFile(join(outDir, 'index.json'), `${JSON.stringify(list, null, 2)}\n`);
  return list;
}

if (process.argv[1]?.endsWith('shipSamples.ts')) await shipSamples(process.argv[2] ?? 'sample-meshes');
