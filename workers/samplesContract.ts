import type { Outcome } from '../src/core/base/refusal.ts';
import type { ArchRecipe } from '../src/samples/ArchRecipe.ts';
import type { SampleTruth } from '../src/samples/sampleTruth.ts';

/** A generated arch as a scan file. */
export interface MadeSample {
  readonly ply: ArrayBuffer; // changes hands
  readonly triangles: number;
  /** For scoring alone: nothing that measures may read it. */
  readonly truth: SampleTruth;
}

export type SampleStage = 'teeth' | 'gum' | 'surface' | 'triangles' | 'noise' | 'done';

/** How far a sample has come; `doneRatio` of the whole grows from 0 to 1. */
export interface SampleProgress {
  readonly stage: SampleStage;
  readonly doneRatio: number;
}

/** What the samples worker does. */
export interface SamplesWork {
  make(
    recipe: ArchRecipe,
    name: string | null,
    onProgress: ((progress: SampleProgress) => void) | null,
  ): Promise<Outcome<MadeSample>>;
}
