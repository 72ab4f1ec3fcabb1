import { beforeEach, describe, expect, it } from 'vitest';
import { activeMarks } from '../../../src/app/state/archEdits.ts';
import { shownArchOf } from '../../../src/app/state/onShow.ts';
import { followUpOnShow, shownArch } from '../../../src/app/state/shownArch.ts';
import { actions, undo, useStore } from '../../../src/app/store.ts';
import { followUpOf } from '../../../src/app/visits/useVisitAccount.ts';
import { markKey, type PlacedMark } from '../../../src/core/marks/Mark.ts';
import type { FollowUpRecord } from '../../../src/core/visits/FollowUpRecord.ts';
import { demoCase, lowerOf } from '../../support/demoCase.ts';

const first = lowerOf(demoCase());
const proposals = first.readings[0].marks.map(
  (mark): PlacedMark => ({ ...mark, state: 'proposed', confidence: 0.6 }),
);
const LATER: FollowUpRecord = {
  scan: { ...first.scan, sha256: 'b'.repeat(64), file: 'later.ply' },
  date: '2026-03-02',
  afterVisit: 0,
  medianEdgeMm: first.medianEdgeMm,
  frame: first.frame,
  measure: null,
  marks: proposals,
};
const SITE = { tooth: 41, site: 'mesial' } as const;
const lower = () => lowerOf(useStore.getState().caseDocument);
const laterMarks = () => lower().followUps?.[0]?.marks ?? [];
const markOf = (marks: readonly PlacedMark[]) => marks.find((mark) => markKey(mark) === markKey(SITE))!;

describe('marks of a later scan, corrected', () => {
  beforeEach(() => {
    const document = demoCase();
    actions().openCase({
      ...document,
      arches: { ...document.arches, lower: { ...lowerOf(document), followUps: [LATER] } },
    });
    actions().setUi({ laterScan: { jaw: 'lower', sha256: LATER.scan.sha256 } });
  });

  it('the arch on show is the later scan, the same object until something changes', () => {
    const arch = shownArchOf('lower')!;
    expect(arch.scan.file).toBe('later.ply');
    expect(activeMarks(arch)).toBe(LATER.marks);
    expect(shownArchOf('lower')).toBe(arch);
    expect(shownArch(lower(), null)).toBe(lower());
    expect(shownArch(lower(), { jaw: 'upper', sha256: LATER.scan.sha256 })).toBe(lower());
    expect(followUpOnShow(lower(), { jaw: 'lower', sha256: 'c'.repeat(64) })).toBeNull();
  });

  it('a moved mark is the later scan’s alone, is measured, and comes back with undo', () => {
    const before = followUpOf(lower(), lower().followUps![0]).shortage!.valueMm;
    const [x, y, z] = markOf(LATER.marks).pointMm;
    const moved = [x + 0.4, y, z] as const;
    actions().moveMark('lower', SITE.tooth, SITE.site, moved);
    expect(markOf(laterMarks())).toMatchObject({ pointMm: moved, state: 'confirmed', confidence: null });
    expect(lower().readings).toBe(useStore.getState().caseDocument.arches.lower!.readings);
    expect(lower().readings[0].marks).toEqual(first.readings[0].marks);
    const after = followUpOf(lower(), lower().followUps![0]).shortage!.valueMm;
    expect(Math.abs(after - before)).toBeGreaterThan(0.1);
    undo();
    expect(laterMarks()).toBe(LATER.marks);
    expect(followUpOf(lower(), lower().followUps![0]).shortage!.valueMm).toBe(before);
  });

  it('confirming and deleting reach the later scan too; what changes nothing leaves the case as it is', () => {
    actions().confirmMark('lower', SITE.tooth, SITE.site);
    expect(laterMarks().filter((mark) => mark.state === 'confirmed')).toEqual([
      { ...markOf(LATER.marks), state: 'confirmed' },
    ]);
    const document = useStore.getState().caseDocument;
    actions().removeMark('lower', 48, 'mesial'); // never marked
    expect(useStore.getState().caseDocument).toBe(document);
    actions().removeMark('lower', SITE.tooth, SITE.site);
    expect(markOf(laterMarks())).toBeUndefined();
    expect(laterMarks()).toHaveLength(LATER.marks.length - 1);
    expect(lower().readings[0].marks).toEqual(first.readings[0].marks);
  });

  it('with the first scan on show again its own marks are edited', () => {
    actions().setUi({ laterScan: null });
    actions().removeMark('lower', SITE.tooth, SITE.site);
    expect(laterMarks()).toBe(LATER.marks);
    expect(markOf(lower().readings[0].marks)).toBeUndefined();
  });

  it('another case shows its first scan', () => {
    actions().openCase(demoCase());
    expect(useStore.getState().ui.laterScan).toBeNull();
  });
});
