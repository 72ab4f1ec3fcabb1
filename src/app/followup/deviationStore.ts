import { create } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';

/** Laid over each other by what stood still, or each tooth over itself. */
export type DeviationKind = 'wholeArch' | 'eachTooth';

interface DeviationState {
  /** The later scan whose distances colour the first one; null: none. */
  readonly shown: { readonly jaw: Jaw; readonly laterSha256: string } | null;
  readonly kind: DeviationKind;
}

export const useDeviation = create<DeviationState>()(() => ({ shown: null, kind: 'eachTooth' }));

/** Colours the first scan of an arch by its distances from a later one that was compared in this session. */
export const showDeviation = (jaw: Jaw, laterSha256: string): void =>
  useDeviation.setState({ shown: { jaw, laterSha256 } });

export const hideDeviation = (): void => useDeviation.setState({ shown: null });

export const setDeviationKind = (kind: DeviationKind): void => useDeviation.setState({ kind });
