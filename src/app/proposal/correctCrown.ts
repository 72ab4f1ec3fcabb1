import { Refusal } from '../../core/base/refusal.ts';
import { type Jaw, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import type { Vec3 } from '../../core/base/Vec3.ts';
import {
  type CrownCorrections,
  NO_CORRECTIONS,
  type PaintedBall,
} from '../../core/crowns/crownCorrections.ts';
import { presentIn } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { proposalOf, setProposal } from './proposalStore.ts';
import { askedOf, askWorker } from './proposeOnScan.ts';

type Change = (corrections: CrownCorrections) => CrownCorrections;

/** "This place is this tooth"; it takes the place of an earlier click for the same tooth. */
export const withClick =
  (tooth: Tooth, pointMm: Vec3): Change =>
  ({ seeds, painted }) => ({
    seeds: [...seeds.filter((seed) => seed.tooth !== tooth), { tooth, pointMm }],
    painted,
  });

/** A brush stroke; it counts over earlier painting. */
export const withPainted =
  (balls: readonly PaintedBall[]): Change =>
  ({ seeds, painted }) => ({ seeds, painted: [...painted, ...balls] });

export const withoutAny: Change = () => NO_CORRECTIONS;

const waiting: { readonly jaw: Jaw; readonly tooth: Tooth; readonly change: Change }[] = [];

/**
 * Corrects the crown of a tooth and proposes its marks anew, in the worker; one step of undo, written once the
 * answer is there. Corrections asked for meanwhile wait their turn; a refusal or a cancel drops them.
 */
export async function correctCrown(jaw: Jaw, tooth: Tooth, change: Change): Promise<void> {
  if (waiting.length === 0 && proposalOf(jaw).working) {
    actions().announce('Not corrected: marks are still being proposed.');
    return;
  }
  waiting.push({ jaw, tooth, change });
  if (waiting.length > 1) return;
  try {
    while (waiting.length > 0) {
      await correctOnce(waiting[0]);
      waiting.shift();
    }
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    if (error.code === 'cancelled') actions().announce('Cancelled. The crown stays as it was.');
    else actions().announce(`Not corrected. ${error.message.replace(/^[\w.#]+: /, '')}`);
  } finally {
    waiting.length = 0;
    setProposal(jaw, { working: null });
  }
}

async function correctOnce({ jaw, tooth, change }: (typeof waiting)[number]): Promise<void> {
  const { id, arches } = useStore.getState().caseDocument;
  const before = arches[jaw];
  if (!before) return;
  const corrections = change(before.crownCorrections ?? NO_CORRECTIONS);
  const isNone = corrections.seeds.length + corrections.painted.length === 0;
  // Taking corrections back concerns every tooth that had any.
  const said = isNone ? (before.crownCorrections ?? NO_CORRECTIONS) : NO_CORRECTIONS;
  const named = [tooth, ...said.seeds.map((s) => s.tooth), ...said.painted.map((b) => b.tooth)];
  const only = [...new Set(named)].filter((t) => t !== 0);
  const asked = {
    ...askedOf(corrections.seeds.reduce((record, seed) => presentIn(record, seed.tooth), before)),
    corrections: isNone ? undefined : corrections,
  };
  setProposal(jaw, { onlyCrowns: false });
  const found = await askWorker({ ...asked, only }, before);
  const document = useStore.getState().caseDocument;
  const now = document.arches[jaw];
  // Another case or scan may have come in meanwhile, or an undo.
  if (document.id !== id || now?.scan.sha256 !== asked.sha256) return;
  if (now.crownCorrections !== before.crownCorrections) return;
  const kept = proposalOf(jaw).found;
  const others = kept?.sha256 === asked.sha256 ? kept.doubts.filter((d) => !only.includes(d.tooth)) : [];
  setProposal(jaw, { found: { ...found, ...asked, doubts: [...others, ...found.doubts] }, refusal: null });
  actions().correctCrowns(jaw, corrections, only, found.marks);
  const area = found.crowns.crowns.find((crown) => crown.tooth === tooth)?.areaMm2 ?? 0;
  const label = toothLabel(tooth, document.notation);
  actions().announce(
    isNone
      ? 'All crowns as found.'
      : `Crown of ${label} corrected: ${Math.round(area)} mm² of surface, its marks proposed anew.`,
  );
}
