import { readFileSync } from 'node:fs';
import { beforeEach, describe, expect, it } from 'vitest';
import { archAccountOf } from '../../../src/app/account/useArchAccount.ts';
import { contactSettingsOf } from '../../../src/app/state/archEdits.ts';
import { actions, undo, useStore } from '../../../src/app/store.ts';
import { bothAsked } from '../../../src/core/casefile/bothAsked.ts';
import { documentJson } from '../../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import { TOGETHER_DEFAULTS } from '../../../src/core/reduction/ratioBands.ts';

const pair = readDocument(readFileSync('sample-meshes/pair.case.json', 'utf8'), 'case');
const now = () => useStore.getState().caseDocument;
const lower = () => {
  const record = now().arches.lower;
  if (!record) throw new Error('no lower arch');
  return record;
};
const asked = () => {
  const { upper, lower: bottom } = now().arches;
  if (!upper || !bottom) throw new Error('the pair has both arches');
  return bothAsked(now(), { upper: archAccountOf(upper, bottom), lower: archAccountOf(bottom, upper) });
};

beforeEach(() => actions().openCase(pair));

describe('choices of the plan in the document', () => {
  it('each arch by itself until both together are asked for; off again, what was chosen is kept', () => {
    expect(asked()).toBeNull();
    actions().setTogether({ isOn: true });
    expect(now().together).toEqual({ ...TOGETHER_DEFAULTS, isOn: true });
    expect(asked()?.input.bands.map(({ kind }) => kind)).toEqual(['anterior']);
    expect(asked()?.input.extraMm).toEqual({ upper: 0, lower: 0 });
    actions().setTogether({ extraMm: { upper: 0, lower: 0.2 } });
    actions().setTogether({ isOn: false });
    expect(asked()).toBeNull();
    expect(now().together?.extraMm.lower).toBe(0.2);
    undo();
    undo();
    undo();
    expect(now()).toEqual(pair);
  });

  it('a midline wished for goes with both arches, and leaves no trace when it is dropped', () => {
    const midline = { shiftToRightMm: 0, toleranceMm: 0 };
    actions().setMidline('lower', midline);
    actions().setTogether({ isOn: true });
    expect(asked()?.input.midline).toEqual({ upper: null, lower: midline });
    actions().setMidline('lower', null);
    expect('midline' in lower().plan).toBe(false);
  });

  it('a thickness read on a radiograph is kept, limits the surface, and goes with its last figure', () => {
    const teeth = [41, 31] as const;
    actions().setContactSettings('lower', teeth, { enamelMm: [0.5, null] });
    expect(contactSettingsOf(lower(), teeth).enamelMm).toEqual([0.5, null]);
    const limits = archAccountOf(lower(), null)?.asked?.limits.find((l) => l.teeth.join() === teeth.join());
    expect(limits?.surfacesMm[0]).toBe(0.25);
    expect(readDocument(documentJson(now(), 'case'), 'case')).toEqual(now());
    actions().setContactSettings('lower', teeth, { enamelMm: [null, null] });
    expect(lower().plan.contacts).toEqual([]);
  });
});
