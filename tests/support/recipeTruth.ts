import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { archTruth } from '../../src/samples/archTruth.ts';
import { arrangeTeeth } from '../../src/samples/arrangeTeeth.ts';
import { fullRecipe } from '../../src/samples/fullRecipe.ts';
import type { SampleTruth } from '../../src/samples/sampleTruth.ts';

/** The truth of a recipe's arch, standing upright in the scan's frame; no mesh is made. */
export function recipeTruth(recipe: ArchRecipe): SampleTruth {
  const full = fullRecipe(recipe);
  const lower = full.jaw === 'lower';
  const pose = {
    x: [lower ? 1 : -1, 0, 0],
    y: [0, 1, 0],
    z: [0, 0, lower ? 1 : -1],
    originMm: [0, 0, 0],
  } as const;
  return archTruth(full, arrangeTeeth(full), pose, null);
}
