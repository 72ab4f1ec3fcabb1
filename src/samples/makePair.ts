import { positionOf } from '../core/base/tooth.ts';
import type { ArchRecipe } from './ArchRecipe.ts';
import { type GeneratedArch, makeArch } from './makeArch.ts';
import { drawSizes } from './toothSizes.ts';

/** A matching upper and lower arch of one person, with the tooth-size ratio asked for. */
export interface PairRecipe {
  readonly seed: number;
  /** 100 × lower widths / upper widths, first molar to first molar; default 91.3 (Bolton 1958, as quoted in secondary sources). */
  readonly overallRatioPercent?: number;
  readonly upper?: Omit<ArchRecipe, 'jaw' | 'seed' | 'widthFactor'>;
  readonly lower?: Omit<ArchRecipe, 'jaw' | 'seed' | 'widthFactor'>;
}

const widthSum = (jaw: 'upper' | 'lower', seed: number): number => {
  const positions = [1, 2, 3, 4, 5, 6];
  const teeth = positions.flatMap((p) => (jaw === 'upper' ? [10 + p, 20 + p] : [30 + p, 40 + p]));
  return [...drawSizes(jaw, seed, teeth)].reduce(
    (s, [t, size]) => s + (positionOf(t) <= 6 ? size.widthMm : 0),
    0,
  );
};

/** The two recipes of a pair; the lower widths are scaled so that the twelve-tooth ratio is exact. */
export function pairRecipes(pair: PairRecipe): { readonly upper: ArchRecipe; readonly lower: ArchRecipe } {
  const ratio = (pair.overallRatioPercent ?? 91.3) / 100;
  const widthFactor = (ratio * widthSum('upper', pair.seed)) / widthSum('lower', pair.seed);
  return {
    upper: { ...pair.upper, jaw: 'upper', seed: pair.seed },
    lower: { ...pair.lower, jaw: 'lower', seed: pair.seed, widthFactor },
  };
}

/** Makes both arches of a pair. Each stands in its own scan frame; they are not set into occlusion. */
export function makePair(pair: PairRecipe): { readonly upper: GeneratedArch; readonly lower: GeneratedArch } {
  const recipes = pairRecipes(pair);
  return { upper: makeArch(recipes.upper), lower: makeArch(recipes.lower) };
}
