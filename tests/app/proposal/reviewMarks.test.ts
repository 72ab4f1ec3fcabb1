import { beforeEach, describe, expect, it, vi } from 'vitest';
import { confirmSite, marksOf, selectSite, stepSite } from '../../../src/app/marking/siteActions.ts';
import { proposalOf } from '../../../src/app/proposal/proposalStore.ts';
import {
  acceptUndoubted,
  discardProposals,
  doubtfulOf,
  startReview,
} from '../../../src/app/proposal/reviewMarks.ts';
import { actions, undo, useStore } from '../../../src/app/store.ts';
import { type MarkSite, markKey, type PlacedMark } from '../../../src/core/marks/Mark.ts';
import { UPRIGHT } from '../../support/markArches.ts';
import { makeSphere } from '../../support/meshes.ts';
import { makePageScan } from '../../support/pageScans.ts';

// Only the focus goes to the page.
vi.stubGlobal('document', { querySelector: () => null });

const proposed = (tooth: number, site: MarkSite, confidence: number): PlacedMark => ({
  tooth,
  site,
  pointMm: [tooth, confidence, 0],
  state: 'proposed',
  confidence,
  sdMm: 0.1,
});

const PROPOSED = [
  proposed(41, 'mesial', 0.9),
  proposed(41, 'distal', 0.4),
  proposed(42, 'mesial', 0.2),
  proposed(42, 'distal', 0.8),
  proposed(43, 'cusp', 0.3),
];

const selected = (): string | null => {
  const { selectedSite } = useStore.getState().ui;
  return selectedSite && markKey(selectedSite);
};
const proposedKeys = (): readonly string[] =>
  marksOf('lower')
    .filter((mark) => mark.state === 'proposed')
    .map(markKey);

beforeEach(() => {
  actions().newCase();
  selectSite(null);
  actions().openScanInto('lower', {
    scan: makePageScan('a'.repeat(64), { mesh: makeSphere(10, 1) }),
    frame: UPRIGHT,
    frameConfidence: 0.9,
  });
  actions().proposeMarks('lower', PROPOSED);
});

describe('looking through what was proposed', () => {
  it('leads from the least sure through the doubtful, and ends', () => {
    expect(doubtfulOf('lower').map((d) => markKey(d.mark))).toEqual(['42-mesial', '43-cusp', '41-distal']);
    startReview('lower');
    expect(selected()).toBe('42-mesial');
    stepSite('lower', 1);
    expect(selected()).toBe('43-cusp');
    confirmSite('lower', { tooth: 43, site: 'cusp' });
    expect(selected()).toBe('41-distal');
    // Past the end of the list, the one that was passed over comes back.
    confirmSite('lower', { tooth: 41, site: 'distal' });
    expect(selected()).toBe('42-mesial');
    confirmSite('lower', { tooth: 42, site: 'mesial' });
    expect(selected()).toBeNull();
    expect(proposalOf('lower').review).toBeNull();
    expect(proposedKeys()).toEqual(['41-mesial', '42-distal']);
    // Accepted as they stand: with their own SD.
    expect(marksOf('lower').every((mark) => mark.sdMm === 0.1)).toBe(true);
    // Nothing doubtful is left: then the rest is looked through.
    startReview('lower');
    expect(selected()).toBe('41-mesial');
  });

  it('accepts what is not doubtful in one step of undo', () => {
    acceptUndoubted('lower');
    expect(proposedKeys()).toEqual(['41-distal', '42-mesial', '43-cusp']);
    expect(useStore.getState().ui.announcement.text).toBe('2 accepted. 3 doubtful left to look at.');
    undo();
    expect(proposedKeys()).toHaveLength(5);
  });

  it('discards what nobody has looked at, in one step of undo', () => {
    confirmSite('lower', { tooth: 42, site: 'mesial' });
    discardProposals('lower');
    expect(marksOf('lower').map(markKey)).toEqual(['42-mesial']);
    undo();
    expect(marksOf('lower')).toHaveLength(5);
  });

  it('keeps what was confirmed when marks are proposed again, in one step of undo', () => {
    confirmSite('lower', { tooth: 42, site: 'mesial' });
    actions().placeMark('lower', 41, 'mesial', [7, 7, 7]);
    actions().proposeMarks(
      'lower',
      [...PROPOSED, proposed(44, 'mesial', 0.9)].map((m) => ({ ...m, sdMm: 0.3 })),
    );
    const at = (key: string) => marksOf('lower').find((mark) => markKey(mark) === key);
    expect(at('41-mesial')).toEqual({
      tooth: 41,
      site: 'mesial',
      pointMm: [7, 7, 7],
      state: 'confirmed',
      confidence: null,
    });
    expect(at('42-mesial')).toMatchObject({ state: 'confirmed', sdMm: 0.1 });
    expect(at('42-distal')).toMatchObject({ state: 'proposed', sdMm: 0.3 });
    expect(marksOf('lower')).toHaveLength(6);
    undo();
    expect(marksOf('lower')).toHaveLength(5);
  });
});
