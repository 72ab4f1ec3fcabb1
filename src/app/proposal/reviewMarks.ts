import type { Jaw } from '../../core/base/tooth.ts';
import { markKey } from '../../core/marks/Mark.ts';
import { marksOf, selectSite, siteInWords } from '../marking/siteActions.ts';
import { shownArchOf } from '../state/onShow.ts';
import { actions, type SiteRef } from '../store.ts';
import { type DoubtfulMark, doubtfulMarks } from './doubtfulMarks.ts';
import { proposalOf, setProposal } from './proposalStore.ts';

const doubtsOf = (jaw: Jaw) => {
  const { found } = proposalOf(jaw);
  const record = shownArchOf(jaw);
  return found && found.sha256 === record?.scan.sha256 ? found.doubts : [];
};

/** The doubtful proposals of a jaw as they stand, least confidence first. */
export const doubtfulOf = (jaw: Jaw): readonly DoubtfulMark[] => doubtfulMarks(marksOf(jaw), doubtsOf(jaw));

/** Puts the keys to work on the arch in 3D. */
const focusStage = (): void => document.querySelector<HTMLElement>('.scene__stage')?.focus();

/** Begins looking at what is doubtful, or at every proposal where nothing is; `from`: the one to begin with. */
export function startReview(jaw: Jaw, from?: SiteRef): void {
  const doubtful = doubtfulOf(jaw);
  const marks = doubtful.length > 0 ? doubtful.map(({ mark }) => mark) : marksOf(jaw).filter(isProposed);
  const sites = marks.map(({ tooth, site }): SiteRef => ({ tooth, site }));
  const first = from ?? sites[0];
  if (!first) return;
  selectSite(first);
  setProposal(jaw, { review: sites });
  const reasons = doubtful.find(({ mark }) => markKey(mark) === markKey(first))?.reasons ?? [];
  actions().announce(
    `${siteInWords(first)}. ${reasons.join(' ')} Enter accepts it, arrow keys move it, Tab goes to the next.`,
  );
  focusStage();
}

const isProposed = ({ state }: { state: string }): boolean => state === 'proposed';

/** Accepts every proposal that is not doubtful, as one step of undo. */
export function acceptUndoubted(jaw: Jaw): void {
  const doubtful = new Set(doubtfulOf(jaw).map(({ mark }) => markKey(mark)));
  const count = marksOf(jaw).filter((mark) => isProposed(mark) && !doubtful.has(markKey(mark))).length;
  actions().confirmMarks(jaw, (mark) => isProposed(mark) && !doubtful.has(markKey(mark)));
  actions().announce(
    `${count} accepted. ${doubtful.size > 0 ? `${doubtful.size} doubtful left to look at.` : 'Nothing is left to look at.'}`,
  );
}

export function discardProposals(jaw: Jaw): void {
  selectSite(null);
  actions().discardProposals(jaw);
  actions().announce('Proposals discarded. Undo brings them back.');
}
