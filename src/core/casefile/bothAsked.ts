import type { BothArches } from '../reduction/planBothArches.ts';
import { type ChosenBands, ratioBands } from '../reduction/ratioBands.ts';
import { toothSizeNorm } from '../space/toothSizeNorms.ts';
import type { ArchAccount } from './archAccount.ts';
import type { CaseDocument } from './CaseDocument.ts';

/** What the plan of both arches together is asked for. */
export interface BothAsked {
  readonly input: BothArches;
  /** Ratios wished for that give no band, and why. */
  readonly problems: ChosenBands['problems'];
}

/**
 * The request for both arches, weighed against their ratios; null where each is planned by itself, or an account is
 * not complete. Screen, print and command line take it from here.
 */
export function bothAsked(
  { together, ratioNorm, arches }: CaseDocument,
  accounts: { readonly upper: ArchAccount | null; readonly lower: ArchAccount | null },
): BothAsked | null {
  const upper = accounts.upper?.asked?.request;
  const lower = accounts.lower?.asked?.request;
  const norm = toothSizeNorm(ratioNorm);
  if (!together?.isOn || !upper || !lower || !accounts.upper || !accounts.lower || !norm) return null;
  const { bands, problems } = ratioBands(together, norm, {
    upper: accounts.upper.measures.teeth,
    lower: accounts.lower.measures.teeth,
  });
  const midline = { upper: arches.upper?.plan.midline ?? null, lower: arches.lower?.plan.midline ?? null };
  return { input: { upper, lower, bands, extraMm: together.extraMm, midline }, problems };
}
