import { type Jaw, jawOf, positionOf, quadrantOf, type Tooth } from '../base/tooth.ts';

const PERMANENT_MM: Record<Jaw, readonly number[]> = {
  upper: [8.6, 6.6, 7.7, 7.0, 6.8, 10.6, 10.0, 8.8],
  lower: [5.4, 5.9, 6.8, 7.0, 7.2, 11.0, 10.5, 10.2],
};
const PRIMARY_MM: Record<Jaw, readonly number[]> = {
  upper: [6.5, 5.1, 6.6, 7.1, 8.8],
  lower: [4.2, 4.6, 5.8, 7.8, 9.9],
};

/**
 * Typical mesiodistal width, for recognising teeth on a surface and never for judging a width.
 *
 * Units:   mm.
 * Source:  rounded means, from memory, unverified: Moorrees et al., J Dent Res 1957;36:39–47.
 */
export function typicalWidthMm(tooth: Tooth): number {
  const table = quadrantOf(tooth) > 4 ? PRIMARY_MM : PERMANENT_MM;
  return table[jawOf(tooth)][positionOf(tooth) - 1];
}
