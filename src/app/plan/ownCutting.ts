import { create } from 'zustand';
import type { OwnCutting } from '../../core/reduction/cuttingChoice.ts';

/** What the recorded visits say of this operator's cutting; null while there is no record. */
const useOwn = create<{ readonly own: OwnCutting | null }>()(() => ({ own: null }));

export const useOwnCutting = (): OwnCutting | null => useOwn((state) => state.own);

/** Called by whoever keeps the record of the visits; the forecast then offers it beside the studies. */
export const setOwnCutting = (own: OwnCutting | null): void => useOwn.setState({ own });
