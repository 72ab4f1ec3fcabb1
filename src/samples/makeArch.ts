import { isTooth, jawOf, positionOf, quadrantOf, type Tooth } from '../core/base/tooth.ts';
import type { ArchRecipe, FullRecipe } from './ArchRecipe.ts';
import { archTruth } from './archTruth.ts';
import { type Arrangement, arrangeTeeth } from './arrangeTeeth.ts';
import type { SampleTruth } from './sampleTruth.ts';
import { type ArchScan, type ScanStep, type ScanTaking, takeScan } from './takeScan.ts';

/** A generated arch: the scan-like mesh, whose tooth each face is, and what is exactly true of it. */
export interface GeneratedArch extends ArchScan {
  readonly truth: SampleTruth;
  readonly arrangement: Arrangement; // the exact crowns, for checks by a second way
}

/** Fills a recipe's open fields; throws on what cannot be built. */
export function fullRecipe(recipe: ArchRecipe): FullRecipe {
  const full: FullRecipe = {
    jaw: recipe.jaw,
    seed: recipe.seed,
    crowdingMm: recipe.crowdingMm ?? 0,
    spacingMm: recipe.spacingMm ?? 0,
    gaps: recipe.gaps ?? [],
    rotationsDeg: recipe.rotationsDeg ?? {},
    displacementsMm: recipe.displacementsMm ?? {},
    missing: recipe.missing ?? [],
    primary: recipe.primary ?? [],
    unerupted: recipe.unerupted ?? [],
    pegs: recipe.pegs ?? [],
    speeMm: recipe.speeMm ?? null,
    widthFactor: recipe.widthFactor ?? 1,
    noiseMm: recipe.noiseMm ?? 0.01,
    bridgedContacts: recipe.bridgedContacts ?? true,
    pose: recipe.pose ?? 'upright',
    triangles: recipe.triangles ?? 100_000,
    gumMm: recipe.gumMm ?? 5,
  };
  const within = (name: string, value: number, low: number, high: number) => {
    if (!(value >= low && value <= high))
      throw new Error(`makeArch: ${name} is out of range; got ${value}, need ${low} to ${high}.`);
  };
  if (!Number.isInteger(full.seed))
    throw new Error(`makeArch: seed must be a whole number; got ${full.seed}.`);
  within('crowdingMm', full.crowdingMm, 0, 12);
  within('spacingMm', full.spacingMm, 0, 15);
  within('widthFactor', full.widthFactor, 0.8, 1.2);
  within('noiseMm', full.noiseMm, 0, 0.03);
  within('triangles', full.triangles, 20_000, 1_000_000);
  within('gumMm', full.gumMm, 2, 10);
  within('speeMm', full.speeMm ?? 0, 0, 6);
  const listed = (name: string, teeth: readonly Tooth[], fits: (t: Tooth) => boolean, need: string) => {
    const wrong = teeth.find((t) => !isTooth(t) || jawOf(t) !== full.jaw || !fits(t));
    if (wrong !== undefined)
      throw new Error(`makeArch: ${name} tooth ${wrong}; need ${need} of the ${full.jaw} jaw.`);
  };
  const isPrimary = (t: Tooth) => quadrantOf(t) > 4;
  listed('primary', full.primary, (t) => isPrimary(t) && positionOf(t) >= 3, 'a primary canine or molar');
  listed('unerupted', full.unerupted, (t) => !isPrimary(t) && positionOf(t) === 7, 'a second molar');
  listed('peg', full.pegs, (t) => !isPrimary(t) && positionOf(t) === 2, 'a lateral incisor');
  for (const { tooth } of full.missing)
    if (!isTooth(tooth) || jawOf(tooth) !== full.jaw || positionOf(tooth) > 5 || isPrimary(tooth))
      throw new Error(
        `makeArch: missing tooth ${tooth}; need an incisor, canine or premolar of the ${full.jaw} jaw.`,
      );
  return full;
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
