import { create } from 'zustand';
import type { ProposedArch } from '../../../workers/contract.ts';
import type { ArchFrame } from '../../core/arch/ArchFrame.ts';
import type { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { CrownCorrections } from '../../core/crowns/crownCorrections.ts';
import type { TeethSaid } from '../../core/crowns/findCrowns.ts';
import type { SiteRef } from '../store.ts';

/** What was found on a scan, and what it was asked with. Never saved: it is found again from the scan. */
export interface FoundArch extends ProposedArch {
  readonly sha256: string;
  readonly frame: ArchFrame;
  readonly said: TeethSaid;
  readonly corrections?: CrownCorrections;
}

export interface ProposalState {
  readonly working: { readonly stage: string; readonly ratio: number; readonly cancel: () => void } | null;
  readonly found: FoundArch | null;
  readonly refusal: Refusal | null;
  /** What is worked on or was refused are the crowns alone, no marks. */
  readonly onlyCrowns: boolean;
  /** The sites being looked through, in the order they were when the review began; null outside of a review. */
  readonly review: readonly SiteRef[] | null;
}

const NOTHING: ProposalState = {
  working: null,
  found: null,
  refusal: null,
  onlyCrowns: false,
  review: null,
};

const useProposals = create<Record<Jaw, ProposalState>>()(() => ({ upper: NOTHING, lower: NOTHING }));

export const setProposal = (jaw: Jaw, change: Partial<ProposalState>): void =>
  useProposals.setState((all) => ({ [jaw]: { ...all[jaw], ...change } }));

export const proposalOf = (jaw: Jaw): ProposalState => useProposals.getState()[jaw];

export const useProposal = (jaw: Jaw): ProposalState => useProposals((all) => all[jaw]);

/** Ends the review of both arches; the marks stay as they are. */
export function endReview(): void {
  for (const jaw of ['upper', 'lower'] as const)
    if (proposalOf(jaw).review) setProposal(jaw, { review: null });
}
