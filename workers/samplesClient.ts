import { proxy } from 'comlink';
import type { ArchRecipe } from '../src/samples/ArchRecipe.ts';
import type { MadeSample, SampleProgress, SamplesWork } from './samplesContract.ts';
import { type Spawn, spawnedWorker, WorkerLink } from './WorkerLink.ts';

/** Makes sample arches in the samples worker. */
export class SamplesClient {
  private readonly link: WorkerLink<SamplesWork>;

  constructor(spawn: Spawn = spawnSamplesWorker) {
    this.link = new WorkerLink(spawn);
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
    let open = true;
    // What arrives after the end of the call says nothing any more.
    const report = onProgress && proxy((progress: SampleProgress) => open && onProgress(progress));
    return this.link
      .call<MadeSample>((remote) => remote.make(recipe, name, report ?? null))
      .finally(() => {
        open = false;
      });
  }

  get busy(): boolean {
    return this.link.busy;
  }

  /** Stops what is running; its promise rejects with 'cancelled'. The next call starts a new worker. */
  cancel(): void {
    this.link.cancel();
  }

  close(): void {
    this.link.close();
  }
}

// The builder finds workers by this exact form.
const spawnSamplesWorker: Spawn = () =>
  spawnedWorker(
    new Worker(new URL('./samples.worker.ts', import.meta.url), { type: 'module', name: 'samples' }),
  );
