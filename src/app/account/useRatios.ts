import { toothSizeNorm } from '../../core/space/toothSizeNorms.ts';
import { toothSizeRatios } from '../../core/space/toothSizeRatios.ts';
import { useStore } from '../store.ts';
import { useArchAccount } from './useArchAccount.ts';

/** Tooth-size ratios of the case, or null while an arch is missing or the norm is unknown. */
export function useRatios(): ReturnType<typeof toothSizeRatios> | null {
  const upper = useArchAccount('upper');
  const lower = useArchAccount('lower');
  const norm = useStore((state) => toothSizeNorm(state.caseDocument.ratioNorm));
  if (!upper || !lower || !norm) return null;
  return toothSizeRatios({ upper: upper.measures.teeth, lower: lower.measures.teeth, norm });
}
