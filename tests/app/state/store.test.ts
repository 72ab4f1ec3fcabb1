import { beforeEach, describe, expect, it } from 'vitest';
import { activeMarks, contactSettingsOf, isBlinded, presenceOf } from '../../../src/app/state/archEdits.ts';
import { actions, redo, undo, useStore } from '../../../src/app/store.ts';
import { documentJson } from '../../../src/core/casefile/documentJson.ts';
import { UPRIGHT } from '../../support/markArches.ts';
import { makePageScan } from '../../support/pageScans.ts';

const LOWER = () => useStore.getState().caseDocument.arches.lower!;

const open = (sha256 = 'a'.repeat(64), unit: 'mm' | 'm' = 'mm'): void =>
  actions().openScanInto('lower', {
    scan: makePageScan(sha256, { unit }),
    frame: UPRIGHT,
    frameConfidence: 0.9,
  });

const steps = (): number => useStore.temporal.getState().pastStates.length;

beforeEach(() => {
  actions().newCase();
  useStore.setState({ scans: {} });
});

describe('store', () => {
  it('undoes and redoes the case and leaves the page’s own state alone', () => {
    open();
    actions().placeMark('lower', 41, 'mesial', [1, 2, 3]);
    actions().setUi({ loupeOn: false });
    undo();
    expect(activeMarks(LOWER())).toEqual([]);
    expect(useStore.getState().ui.loupeOn).toBe(false);
    redo();
    expect(activeMarks(LOWER()).map((mark) => mark.pointMm)).toEqual([[1, 2, 3]]);
    undo();
    undo();
    expect(useStore.getState().caseDocument.arches.lower).toBeNull();
  });

  it('takes selections and announcements for no step of undo', () => {
    open();
    const before = steps();
    actions().setUi({ selectedTooth: 41 });
    actions().announce('said');
    actions().setActiveJaw('upper');
    expect(steps()).toBe(before);
  });

  it('makes one step of a drag', () => {
    open();
    actions().placeMark('lower', 41, 'mesial', [0, 0, 0]);
    const before = steps();
    actions().beginGesture();
    for (let i = 1; i <= 20; i++) actions().moveMark('lower', 41, 'mesial', [i, 0, 0]);
    actions().endGesture();
    expect(steps()).toBe(before + 1);
    undo();
    expect(activeMarks(LOWER())[0].pointMm).toEqual([0, 0, 0]);
    redo();
    expect(activeMarks(LOWER())[0].pointMm).toEqual([20, 0, 0]);
    actions().moveMark('lower', 41, 'mesial', [30, 0, 0]);
    expect(steps()).toBe(before + 2);
  });

  it('corrects crowns in one step: marks of that tooth anew, confirmed ones and other teeth untouched', () => {
    open();
    const proposed = (tooth: number, site: 'mesial' | 'distal', x: number) =>
      ({ tooth, site, pointMm: [x, 0, 0], state: 'proposed', confidence: 0.9 }) as const;
    actions().proposeMarks('lower', [
      proposed(36, 'mesial', 1),
      proposed(36, 'distal', 2),
      proposed(35, 'mesial', 3),
    ]);
    actions().confirmMark('lower', 36, 'distal');
    actions().setMissing('lower', 46, true);
    const before = LOWER();
    const count = steps();
    const corrections = { seeds: [{ tooth: 46, pointMm: [4, 4, 4] as const }], painted: [] };
    const found = [proposed(36, 'mesial', 7), proposed(36, 'distal', 8), proposed(46, 'mesial', 9)];
    actions().correctCrowns('lower', corrections, [36, 46], found);
    expect(steps()).toBe(count + 1);
    const places = Object.fromEntries(
      activeMarks(LOWER()).map((m) => [`${m.tooth} ${m.site}`, m.pointMm[0]]),
    );
    expect(places).toEqual({ '36 mesial': 7, '36 distal': 2, '35 mesial': 3, '46 mesial': 9 });
    expect(presenceOf(LOWER().chart, 46)).toBe('present');
    expect(LOWER().crownCorrections).toBe(corrections);
    // A tooth said to be missing after all takes its click along.
    actions().setMissing('lower', 46, true);
    expect('crownCorrections' in LOWER()).toBe(false);
    undo();
    undo();
    expect(LOWER()).toEqual(before);
  });

  it('keeps the marks when the same scan comes again, and starts afresh with another or in another unit', () => {
    open();
    actions().placeMark('lower', 41, 'mesial', [1, 2, 3]);
    open();
    expect(activeMarks(LOWER())).toHaveLength(1);
    open('a'.repeat(64), 'm');
    expect(activeMarks(LOWER())).toHaveLength(0);
    undo();
    expect(activeMarks(LOWER())).toHaveLength(1);
    open('b'.repeat(64));
    expect(activeMarks(LOWER())).toHaveLength(0);
  });

  it('never lets a proposal take the place of a confirmed mark', () => {
    open();
    actions().placeMark('lower', 41, 'mesial', [1, 2, 3]);
    actions().proposeMarks('lower', [
      { tooth: 41, site: 'mesial', pointMm: [9, 9, 9], state: 'proposed', confidence: 0.4 },
      { tooth: 41, site: 'distal', pointMm: [5, 5, 5], state: 'proposed', confidence: 0.8 },
    ]);
    const marks = activeMarks(LOWER());
    expect(marks.find((m) => m.site === 'mesial')).toMatchObject({ pointMm: [1, 2, 3], state: 'confirmed' });
    expect(marks.find((m) => m.site === 'distal')).toMatchObject({ state: 'proposed' });
    actions().confirmMarks('lower', () => true);
    expect(activeMarks(LOWER()).every((mark) => mark.state === 'confirmed')).toBe(true);
  });

  it('keeps a tooth in one state of the chart, third molars counted only when said to be there', () => {
    open();
    actions().setMissing('lower', 42, true);
    actions().setUnerupted('lower', 42, true);
    expect(LOWER().chart).toMatchObject({ missing: [], unerupted: [42] });
    actions().setPresence('lower', 42, 'present');
    expect(presenceOf(LOWER().chart, 42)).toBe('present');
    expect(presenceOf(LOWER().chart, 48)).toBe('missing');
    actions().setPresence('lower', 48, 'present');
    expect(LOWER().chart.thirdMolars).toEqual([48]);
    actions().setPresence('lower', 48, 'missing');
    expect(LOWER().chart).toMatchObject({ missing: [], thirdMolars: [] });
  });

  it('takes the marks of a tooth away with it, and undo brings both back', () => {
    open();
    actions().placeMark('lower', 42, 'mesial', [1, 2, 3]);
    actions().placeMark('lower', 41, 'mesial', [4, 5, 6]);
    actions().setPresence('lower', 42, 'missing');
    expect(activeMarks(LOWER()).map((mark) => mark.tooth)).toEqual([41]);
    undo();
    expect(activeMarks(LOWER()).map((mark) => mark.tooth)).toEqual([42, 41]);
    expect(presenceOf(LOWER().chart, 42)).toBe('present');
  });

  it('drops a contact from the document once it is back at its defaults', () => {
    open();
    actions().setContactSettings('lower', [42, 41], { lock: 'implant' });
    expect(contactSettingsOf(LOWER(), [42, 41]).lock).toBe('implant');
    actions().setContactSettings('lower', [42, 41], { lock: null });
    expect(LOWER().plan.contacts).toEqual([]);
  });

  it('always holds a document that can be written and read', () => {
    open();
    actions().placeMark('lower', 41, 'mesial', [1, 2, 3]);
    actions().setPresence('lower', 38, 'present');
    actions().setEnteredWidth('lower', 45, { widthMm: 7.1, sdMm: 0.1 });
    actions().setContactSettings('lower', [42, 41], { limitMm: 0.7, limitReason: 'thick enamel' });
    actions().setAllowances('lower', [{ kind: 'spee', rule: 'spee-braun-1996', inputs: {} }]);
    actions().setPrediction('lower', { method: 'moyers', percentile: 75 });
    actions().startReading('lower', 'second observer');
    actions().startReading('lower', 'second observer', 17);
    expect(
      LOWER()
        .readings.map(({ repeat, orderSeed }) => [repeat, orderSeed])
        .slice(-2),
    ).toEqual([
      [1, undefined],
      [2, 17],
    ]);
    expect(isBlinded(LOWER())).toBe(true);
    const { caseDocument } = useStore.getState();
    expect(JSON.parse(documentJson(caseDocument, 'case'))).toEqual(caseDocument);
  });
});
