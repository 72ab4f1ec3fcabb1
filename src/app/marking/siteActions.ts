import { type Jaw, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import { distance } from '../../core/base/Vec3.ts';
import { markKey, type PlacedMark } from '../../core/marks/Mark.ts';
import { type MarkingStep, nextUnmarked } from '../../core/marks/markingOrder.ts';
import { fixed, SITE_NAMES } from '../format.ts';
import { endReview, proposalOf } from '../proposal/proposalStore.ts';
import { activeMarks } from '../state/archEdits.ts';
import { shownArchOf } from '../state/onShow.ts';
import { actions, type SiteRef, useStore } from '../store.ts';
import { isBlindUnderWay } from '../study/blindedReading.ts';
import { siteOrder } from './siteOrder.ts';
import type { Landing } from './snapOnScan.ts';

export const marksOf = (jaw: Jaw): readonly PlacedMark[] => {
  const record = shownArchOf(jaw);
  return record ? activeMarks(record) : [];
};

export const markAt = (jaw: Jaw, site: SiteRef): PlacedMark | null =>
  marksOf(jaw).find((mark) => markKey(mark) === markKey(site)) ?? null;

/** Where the walk leads: through the sites of a review, else round the arch. */
const walkOf = (jaw: Jaw): readonly SiteRef[] => proposalOf(jaw).review ?? orderOf(jaw);

const orderOf = (jaw: Jaw): readonly MarkingStep[] => {
  const record = shownArchOf(jaw);
  if (!record) return [];
  return siteOrder(record);
};

const label = (tooth: Tooth): string => toothLabel(tooth, useStore.getState().caseDocument.notation);

/** A site in words: "distal contact point of 46". */
export const siteInWords = ({ tooth, site }: SiteRef): string => `${SITE_NAMES[site]} of ${label(tooth)}`;

/** Selects a site everywhere, or nothing; nothing ends a review too. */
export function selectSite(site: SiteRef | null): void {
  if (!site) endReview();
  actions().setUi({
    selectedSite: site,
    selectedTooth: site?.tooth ?? null,
    selectedContact: null,
    revealEvidence: null,
  });
}

/** The first site without a mark, or the first of all; starts the walk round the arch. */
export function startMarking(jaw: Jaw): void {
  endReview();
  const order = orderOf(jaw);
  const first = nextUnmarked(order, marksOf(jaw)) ?? order[0];
  if (!first) return;
  selectSite(first);
  actions().announce(`Mark the ${siteInWords(first)}.`);
}

/** Goes to the neighbouring site in the order; false at its end. */
export function stepSite(jaw: Jaw, by: 1 | -1): boolean {
  const order = walkOf(jaw);
  const { selectedSite } = useStore.getState().ui;
  const at = selectedSite ? order.findIndex((step) => markKey(step) === markKey(selectedSite)) : -1;
  const next = at < 0 ? order[by > 0 ? 0 : order.length - 1] : order[at + by];
  if (!next) return false;
  selectSite(next);
  const mark = markAt(jaw, next);
  actions().announce(`${siteInWords(next)}, ${mark ? mark.state : 'not marked'}.`);
  return true;
}

/** Width between the two contact points of a tooth as they stand, in words; empty while one is missing or none may be known. */
export function widthInWords(jaw: Jaw, tooth: Tooth): string {
  const record = shownArchOf(jaw);
  if (record && isBlindUnderWay(record)) return '';
  const mesial = markAt(jaw, { tooth, site: 'mesial' });
  const distal = markAt(jaw, { tooth, site: 'distal' });
  return mesial && distal
    ? ` Width of ${label(tooth)} ${fixed(distance(mesial.pointMm, distal.pointMm), 2)} mm.`
    : '';
}

/** After a mark was placed or confirmed: says so and, when the order leads, goes on to the next open site. */
function goOn(jaw: Jaw, done: SiteRef, what: 'placed' | 'confirmed'): void {
  const reviewing = proposalOf(jaw).review !== null;
  const markingFollowsOrder = reviewing || useStore.getState().ui.markingFollowsOrder;
  const open =
    what === 'placed' ? nextUnmarked(orderOf(jaw), marksOf(jaw), asStep(done)) : nextProposed(jaw, done);
  const said = `${siteInWords(done)} ${what}.${widthInWords(jaw, done.tooth)}`;
  if (!markingFollowsOrder) {
    actions().announce(said);
    return;
  }
  selectSite(open);
  actions().announce(open ? `${said} Next: ${siteInWords(open)}.` : `${said} Nothing is left to do here.`);
}

const asStep = ({ tooth, site }: SiteRef): MarkingStep | undefined =>
  site === 'mesial' || site === 'distal' ? { tooth, site } : undefined;

function nextProposed(jaw: Jaw, from: SiteRef): SiteRef | null {
  const marks = marksOf(jaw);
  const { review } = proposalOf(jaw);
  if (review) {
    const at = review.findIndex((site) => markKey(site) === markKey(from)) + 1;
    const onward = [...review.slice(at), ...review.slice(0, at)];
    return onward.find((site) => markAt(jaw, site)?.state === 'proposed') ?? null;
  }
  const settled = marks.filter((mark) => mark.state === 'confirmed');
  const order = orderOf(jaw).filter((step) => marks.some((mark) => markKey(mark) === markKey(step)));
  return nextUnmarked(order, settled, asStep(from));
}

/** Places a mark; the partner on the same tooth, where it moves along, belongs to the same step of undo. */
export function placeAt(jaw: Jaw, site: SiteRef, { pointMm, sdMm, partner }: Landing): void {
  const moved = markAt(jaw, site) !== null;
  actions().beginGesture();
  actions().placeMark(jaw, site.tooth, site.site, pointMm, sdMm);
  if (partner) actions().moveMark(jaw, partner.site.tooth, partner.site.site, partner.pointMm, partner.sdMm);
  actions().endGesture();
  if (moved) actions().announce(`${siteInWords(site)} moved.${widthInWords(jaw, site.tooth)}`);
  else goOn(jaw, site, 'placed');
}

/** Accepts a proposed mark as it stands; true when there was one. */
export function confirmSite(jaw: Jaw, site: SiteRef): boolean {
  const mark = markAt(jaw, site);
  if (mark?.state !== 'proposed') return false;
  actions().confirmMark(jaw, site.tooth, site.site);
  goOn(jaw, site, 'confirmed');
  return true;
}

export function deleteSite(jaw: Jaw, site: SiteRef): void {
  if (!markAt(jaw, site)) return;
  actions().removeMark(jaw, site.tooth, site.site);
  actions().announce(`${siteInWords(site)} deleted.`);
}
