import type { ArchChange } from './ArchChange.ts';
import type { ArchRecipe } from './ArchRecipe.ts';
import { archTruth } from './archTruth.ts';
import { changeTeeth } from './changeTeeth.ts';
import { type ChangeTruth, changeTruth } from './changeTruth.ts';
import { type GeneratedArch, makeArch, scanOf } from './makeArch.ts';
import { takeScan } from './takeScan.ts';

/** Two scans of one arch with a known change between them. */
export interface BeforeAfter {
  readonly before: GeneratedArch;
  readonly after: GeneratedArch;
  readonly change: ChangeTruth;
}

/**
 * A later scan of a generated arch: enamel taken from proximal walls, the teeth between the molars moved along
 * the same line, gum formed anew round them, another mesh, noise and pose.
 *
 * Units:    mm; each arch in its own scan's frame, the change in the earlier one's.
 * Accuracy: enamel, widths, motions and separations are those of the exact crowns —
 *           tests/samples/makeBeforeAfter.test.ts.
 */
export function laterArch(
  before: GeneratedArch,
  change: ArchChange,
  name: string | null = null,
): Omit<BeforeAfter, 'before'> {
  const { recipe } = before.truth;
  const arrangement = changeTeeth(before.arrangement, recipe, change);
  const scan = takeScan(arrangement.teeth, {
    ...scanOf(recipe),
    scanSeed: change.seed ?? recipe.seed + 1,
    noiseMm: change.noiseMm ?? recipe.noiseMm,
    triangles: change.triangles ?? recipe.triangles,
    pose: change.pose ?? 'any',
  });
  const truth = { ...archTruth(recipe, arrangement, scan.pose, name), change };
  const after: GeneratedArch = { ...scan, truth, arrangement };
  return { after, change: changeTruth(before, after, change) };
}

/** An arch made from a recipe, and the same arch later. */
export function makeBeforeAfter(recipe: ArchRecipe, change: ArchChange): BeforeAfter {
  const before = makeArch(recipe);
  return { before, ...laterArch(before, change) };
}
