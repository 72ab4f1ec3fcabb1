import { Refusal } from '../core/base/refusal.ts';
import { isTooth, jawOf, positionOf, quadrantOf, type Tooth } from '../core/base/tooth.ts';
import type { ArchRecipe, FullRecipe } from './ArchRecipe.ts';

/** A recipe that no arch can be built from. */
export const unbuildable = (field: string, what: string): Refusal =>
  new Refusal('request-invalid', `makeArch: ${what}. Change the recipe.`, { field });

/** Fills a recipe's open fields. Refuses: 'request-invalid' for what cannot be built. */
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
      throw unbuildable(name, `${name} is out of range; got ${value}, need ${low} to ${high}`);
  };
  if (!Number.isInteger(full.seed) || full.seed < 0 || full.seed > 999_999_999)
    throw unbuildable('seed', `seed must be a whole number; got ${full.seed}, need 0 to 999999999`);
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
      throw unbuildable(
        name,
        `${name} tooth does not fit; got ${wrong}, need ${need} of the ${full.jaw} jaw`,
      );
  };
  const isPrimary = (t: Tooth) => quadrantOf(t) > 4;
  listed('primary', full.primary, (t) => isPrimary(t) && positionOf(t) >= 3, 'a primary canine or molar');
  listed('unerupted', full.unerupted, (t) => !isPrimary(t) && positionOf(t) === 7, 'a second molar');
  listed('peg', full.pegs, (t) => !isPrimary(t) && positionOf(t) === 2, 'a lateral incisor');
  for (const { tooth } of full.missing)
    if (!isTooth(tooth) || jawOf(tooth) !== full.jaw || positionOf(tooth) > 5 || isPrimary(tooth))
      throw unbuildable(
        'missing',
        `missing tooth does not fit; got ${tooth}, need an incisor, canine or premolar of the ${full.jaw} jaw`,
      );
  return full;
}
