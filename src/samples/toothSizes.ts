import { isRight, type Jaw, positionOf, quadrantOf, type Tooth } from '../core/base/tooth.ts';
import { makeRandom } from './random.ts';

/** Size of one crown: mesiodistal width, buccolingual depth, height from cervix to tip. */
export interface CrownSize {
  readonly widthMm: number;
  readonly depthMm: number;
  readonly heightMm: number;
}

/**
 * Mean mesiodistal widths and SDs, positions 1 to 7, mm: midway between men and women.
 * Source: Moorrees CFA et al., J Dent Res 1957;36:39–47, from memory, unverified (second molars least sure).
 */
const WIDTHS: Readonly<Record<Jaw, readonly (readonly [meanMm: number, sdMm: number])[]>> = {
  upper: [
    [8.59, 0.5],
    [6.55, 0.5],
    [7.74, 0.4],
    [6.93, 0.37],
    [6.72, 0.4],
    [10.66, 0.53],
    [10.08, 0.56],
  ],
  lower: [
    [5.34, 0.32],
    [5.86, 0.36],
    [6.72, 0.34],
    [6.97, 0.36],
    [7.16, 0.45],
    [10.96, 0.56],
    [10.55, 0.6],
  ],
};

/**
 * Buccolingual depths and heights of the reference crowns, positions 1 to 7, mm.
 * Source: common handbook sizes, from memory, unverified.
 */
export const REFERENCE: Readonly<Record<Jaw, readonly CrownSize[]>> = {
  upper: [
    { widthMm: 8.6, depthMm: 7.0, heightMm: 10.4 },
    { widthMm: 6.6, depthMm: 6.1, heightMm: 9.2 },
    { widthMm: 7.7, depthMm: 7.9, heightMm: 10.0 },
    { widthMm: 7.0, depthMm: 9.2, heightMm: 8.4 },
    { widthMm: 6.8, depthMm: 9.0, heightMm: 7.9 },
    { widthMm: 10.5, depthMm: 10.9, heightMm: 7.5 },
    { widthMm: 9.8, depthMm: 10.8, heightMm: 7.2 },
  ],
  lower: [
    { widthMm: 5.3, depthMm: 5.9, heightMm: 8.8 },
    { widthMm: 5.9, depthMm: 6.2, heightMm: 9.2 },
    { widthMm: 6.8, depthMm: 7.5, heightMm: 10.4 },
    { widthMm: 7.0, depthMm: 7.7, heightMm: 8.5 },
    { widthMm: 7.1, depthMm: 8.2, heightMm: 8.0 },
    { widthMm: 11.0, depthMm: 10.3, heightMm: 7.4 },
    { widthMm: 10.5, depthMm: 10.1, heightMm: 7.1 },
  ],
};

/**
 * Primary canine, first and second molar: mean width, SD, depth and height, mm.
 * Source: common handbook sizes, from memory, unverified.
 */
const PRIMARY: Readonly<Record<Jaw, readonly (CrownSize & { readonly sdMm: number })[]>> = {
  upper: [
    { widthMm: 6.8, sdMm: 0.36, depthMm: 6.6, heightMm: 6.6 },
    { widthMm: 7.1, sdMm: 0.4, depthMm: 8.4, heightMm: 5.6 },
    { widthMm: 8.9, sdMm: 0.46, depthMm: 9.8, heightMm: 5.9 },
  ],
  lower: [
    { widthMm: 5.9, sdMm: 0.34, depthMm: 5.4, heightMm: 7.0 },
    { widthMm: 7.8, sdMm: 0.42, depthMm: 7.2, heightMm: 6.0 },
    { widthMm: 9.8, sdMm: 0.5, depthMm: 8.8, heightMm: 5.8 },
  ],
};

/**
 * A peg against the lateral incisor that would have grown in its place: our choice, after common descriptions.
 */
export const PEG = { width: 0.72, depth: 0.82, height: 0.84 } as const;

/**
 * Crown sizes of a jaw drawn from a person's seed. Widths share a person factor (all teeth of one mouth tend
 * to be large or small together) and left and right differ little: of a width's deviation from the mean,
 * half the variance is the person's, four tenths the tooth pair's, one tenth the side's (correlation of left
 * with right 0.9; our choice, no source). Both jaws of one seed share the person factor.
 */
export function drawSizes(jaw: Jaw, seed: number, teeth: readonly Tooth[]): ReadonlyMap<Tooth, CrownSize> {
  const person = makeRandom(seed, 'person').normal();
  const sizes = new Map<Tooth, CrownSize>();
  for (const tooth of teeth) {
    const position = positionOf(tooth);
    const kept = quadrantOf(tooth) > 4;
    const name = kept ? `${jaw}-primary` : jaw;
    const pair = makeRandom(seed, `${name}-pair-${position}`);
    const side = makeRandom(seed, `${name}-${position}-${isRight(tooth) ? 'right' : 'left'}`);
    const own = kept ? PRIMARY[jaw][position - 3] : null;
    const [meanMm, sdMm] = own ? [own.widthMm, own.sdMm] : WIDTHS[jaw][position - 1];
    const z = Math.sqrt(0.5) * person + Math.sqrt(0.4) * pair.normal() + Math.sqrt(0.1) * side.normal();
    const reference = own ?? REFERENCE[jaw][position - 1];
    // depth and height follow the person, with a little of their own (5 % SD, our choice)
    const widthMm = meanMm + sdMm * z;
    const depthMm = reference.depthMm * (1 + 0.03 * person + 0.025 * pair.normal() + 0.008 * side.normal());
    const heightMm = reference.heightMm * (1 + 0.02 * person + 0.03 * pair.normal() + 0.006 * side.normal());
    sizes.set(tooth, { widthMm, depthMm, heightMm });
  }
  return sizes;
}
