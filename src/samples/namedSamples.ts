import type { ArchChange } from './ArchChange.ts';
import type { ArchRecipe } from './ArchRecipe.ts';
import { pairRecipes } from './makePair.ts';

/** A sample arch with a name: its recipe, the file form it is shipped in, and what it shows. */
export interface NamedSample {
  readonly name: string;
  readonly recipe: ArchRecipe;
  readonly format: 'ply' | 'stl';
  readonly shows: string;
  /** Where this is a later scan of another sample's arch: its name, and what was done in between. */
  readonly later?: { readonly of: string; readonly change: ArchChange };
}

const pair = pairRecipes({
  seed: 21,
  overallRatioPercent: 93.5,
  upper: { crowdingMm: 1.2, noiseMm: 0.01 },
  lower: { crowdingMm: 2.8, noiseMm: 0.01 },
});

/** The first six samples shipped in sample-meshes/, all invented; shippedSamples.ts has the whole list. */
export const namedSamples: readonly NamedSample[] = [
  {
    name: 'lower-crowded',
    recipe: { jaw: 'lower', seed: 4, crowdingMm: 3.6 },
    format: 'ply',
    shows: 'A lower arch short of 3.6 mm: imbricated incisors.',
  },
  {
    name: 'lower-aligned',
    recipe: { jaw: 'lower', seed: 1, pose: 'any' },
    format: 'ply',
    shows: 'A lower arch without crowding, in an arbitrary pose.',
  },
  {
    name: 'upper-crowded',
    recipe: { jaw: 'upper', seed: 12, crowdingMm: 4.2, pose: 'any' },
    format: 'stl',
    shows: 'An upper arch short of 4.2 mm, in an arbitrary pose.',
  },
  {
    name: 'upper-spaced',
    recipe: { jaw: 'upper', seed: 5, spacingMm: 3.0 },
    format: 'ply',
    shows: 'An upper arch with 3.0 mm of spaces between the front teeth.',
  },
  {
    name: 'pair-upper',
    recipe: pair.upper,
    format: 'ply',
    shows: 'The upper arch of a pair whose lower teeth are too wide for the upper (ratio 93.5 %).',
  },
  {
    name: 'pair-lower',
    recipe: pair.lower,
    format: 'ply',
    shows: 'The lower arch of the pair.',
  },
];
