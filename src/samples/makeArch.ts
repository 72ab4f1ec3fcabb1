import type { ArchRecipe, FullRecipe } from './ArchRecipe.ts';
import { archTruth } from './archTruth.ts';
import { type Arrangement, arrangeTeeth } from './arrangeTeeth.ts';
import { fullRecipe } from './fullRecipe.ts';
import type { SampleTruth } from './sampleTruth.ts';
import { type ArchScan, type ScanStep, type ScanTaking, takeScan } from './takeScan.ts';

/** A generated arch: the scan-like mesh, whose tooth each face is, and what is exactly true of it. */
export interface GeneratedArch extends ArchScan {
  readonly truth: SampleTruth;
  readonly arrangement: Arrangement; // the exact crowns, for checks by a second way
}

/**
 * Makes an arch from a recipe: sizes and form from the seed, teeth packed crown on crown along the line, gum
 * laid round them, meshed like a scan. The same recipe gives the same bytes.
 *
 * Units:    mm, scan frame.
 * Accuracy: truth is that of the exact crowns (1e-4 mm); required − available = crowding − spaces to 1e-9 —
 *           tests/samples/makeArch.test.ts.
 * Source:   our own construction; sizes as cited in toothSizes.ts.
 */
export function makeArch(
  recipe: ArchRecipe,
  name: string | null = null,
  onStep?: (step: ScanStep) => void,
): GeneratedArch {
  const full = fullRecipe(recipe);
  const arrangement = arrangeTeeth(full);
  const scan = takeScan(arrangement.teeth, scanOf(full), onStep);
  return {
    mesh: scan.mesh,
    labels: scan.labels,
    truth: archTruth(full, arrangement, scan.pose, name),
    arrangement,
    pose: scan.pose,
  };
}

/** How the scan of a recipe is taken. */
export const scanOf = (recipe: FullRecipe): ScanTaking => ({
  ...recipe,
  mouthSeed: recipe.seed,
  scanSeed: recipe.seed,
});
