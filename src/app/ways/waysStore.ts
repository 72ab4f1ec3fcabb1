import { create } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';
import type { WayGroup } from '../../core/space/alternativeWays.ts';

/** What the user considers for one kind of way; kept on the page alone until it is taken over into the account. */
export interface WayDraft {
  readonly on: boolean;
  readonly way: string | null; // null: the first rule of the group
  readonly inputs: Readonly<Record<string, number>>;
  readonly sdMm: number | null;
}

export const NO_DRAFT: WayDraft = { on: false, way: null, inputs: {}, sdMm: null };

type Drafts = Readonly<Partial<Record<WayGroup, WayDraft>>>;

interface WaysState {
  readonly caseId: string | null; // of the case the drafts belong to
  readonly drafts: Readonly<Record<Jaw, Drafts>>;
}

const EMPTY: WaysState['drafts'] = { upper: {}, lower: {} };
const NONE: Drafts = {};

export const useWays = create<WaysState>()(() => ({ caseId: null, drafts: EMPTY }));

/** Drafts of a jaw; those of another case do not count. */
export const draftsOf = (state: WaysState, caseId: string, jaw: Jaw): Drafts =>
  state.caseId === caseId ? state.drafts[jaw] : NONE;

/** Changes the draft of one group; one of another case is left behind. */
export function changeDraft(caseId: string, jaw: Jaw, group: WayGroup, change: Partial<WayDraft>): void {
  useWays.setState((state) => {
    const drafts = state.caseId === caseId ? state.drafts : EMPTY;
    const next: WayDraft = { ...(drafts[jaw][group] ?? NO_DRAFT), ...change };
    return { caseId, drafts: { ...drafts, [jaw]: { ...drafts[jaw], [group]: next } } };
  });
}

/** Nothing is considered any more; the amounts typed stay where they are, unticked. */
export function untickAll(jaw: Jaw): void {
  useWays.setState((state) => ({
    drafts: {
      ...state.drafts,
      [jaw]: Object.fromEntries(
        Object.entries(state.drafts[jaw]).map(([group, draft]) => [group, { ...draft, on: false }]),
      ),
    },
  }));
}
