import { positionOf, type Tooth } from '../../core/base/tooth.ts';
import type { BlockState } from './stripLayout.ts';

/** Molars lie beyond the ends of the line and count in no sum. */
const isBeyond = (tooth: Tooth): boolean => positionOf(tooth) > 5 && tooth < 50;

/** Class names of a tooth's outline: how its width came about, and whether it lies beyond the line. */
export const blockClass = ({ tooth, state }: { readonly tooth: Tooth; readonly state: BlockState }): string =>
  `strip__block strip__block_${state}${isBeyond(tooth) ? ' strip__block_beyond' : ''}`;
