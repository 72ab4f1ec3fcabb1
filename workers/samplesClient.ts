import type { ArchRecipe } from '../src/samples/ArchRecipe.ts';
import type { MadeSample, SampleProgress, SamplesWork } from './samplesContract.ts';
import { WorkerClient } from './WorkerClient.ts';
import { type Spawn, spawnedWorker } from './WorkerLink.ts';

/** Makes sample arches in the samples worker. */
export class SamplesClient extends WorkerClient<SamplesWork> {
  constructor(spawn: Spawn = spawnSamplesWorker, silenceMs?: number) {
    super(spawn, silenceMs);
  }

  /**
   * A sample arch from its recipe, as the bytes of a binary PLY, with its truth.
   *
   * Refuses:  'request-invalid' for a recipe no arch can be built from; 'cancelled', 'worker-died'.
   */
  make(
    recipe: ArchRecipe,
    name: string | null,
    onProgress?: (progress: SampleProgress) => void,
  ): Promise<MadeSample> {
    return this.reporting(onProgress, (remote, report) => remote.make(recipe, name, report));
  }
}

// The builder finds workers by this exact form.
const spawnSamplesWorker: Spawn = () =>
  spawnedWorker(
    new Worker(new URL('./samples.worker.ts', import.meta.url), { type: 'module', name: 'samples' }),
  );
