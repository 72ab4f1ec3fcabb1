import { readFileSync } from 'node:fs';
import { beforeEach, describe, expect, it } from 'vitest';
import { archAccountOf } from '../../../src/app/account/useArchAccount.ts';
import { plannedAmountsOf } from '../../../src/app/account/usePlannedAmounts.ts';
import { withOwnTenth, withoutOwnTenths } from '../../../src/app/state/ownTenths.ts';
import { actions, redo, undo, useStore } from '../../../src/app/store.ts';
import { changeOwnSteps, setOwnSteps, wishedSteps } from '../../../src/app/strip/ownSteps.ts';
import type { Contact } from '../../../src/core/base/tooth.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';

const demo = readDocument(readFileSync('sample-meshes/lower-crowded.case.json', 'utf8'), 'case');
const record = demo.arches.lower!;
const MIDLINE: Contact = [41, 31];
const lower = () => useStore.getState().caseDocument.arches.lower!;
const asked = () => archAccountOf(lower(), null)!.asked!;
const plan = planReduction(archAccountOf(record, null)!.asked!.request);

describe('own tenths in the document', () => {
  it('the first takes the plan over whole, later ones change one contact, dropping them leaves no trace', () => {
    const first = withOwnTenth(record, plan, MIDLINE, { amountMm: 0.1 });
    expect(first.ownTenths).toHaveLength(plan.contacts.length);
    for (const { teeth, totalMm } of plan.contacts)
      expect(first.ownTenths!.find((own) => own.teeth.join() === teeth.join())!.amountMm).toBe(
        teeth.join() === MIDLINE.join() ? 0.1 : totalMm,
      );
    const second = withOwnTenth(first, null, MIDLINE, { amountMm: 0.2, reason: 'seen' });
    expect(second.ownTenths!.filter((own, i) => own !== first.ownTenths![i])).toHaveLength(1);
    expect(withOwnTenth(second, null, MIDLINE, { amountMm: 0.2 })).toBe(second);
    expect(withoutOwnTenths(second)).toEqual(record);
    expect(withoutOwnTenths(record)).toBe(record);
  });
});

describe('own tenths on the page', () => {
  beforeEach(() => actions().openCase(demo));

  it('steps stay between nothing and what can be tried, and are said', () => {
    setOwnSteps('lower', MIDLINE, 2);
    expect(wishedSteps('lower', MIDLINE)).toBe(2);
    expect(plannedAmountsOf('lower')!.plan.contacts.find((c) => c.teeth.join() === '41,31')!.totalMm).toBe(
      0.2,
    );
    expect(useStore.getState().ui.announcement.text).toMatch(/^Contact 41–31: 0.2 mm, the plan has /);
    changeOwnSteps('lower', MIDLINE, -5);
    expect(wishedSteps('lower', MIDLINE)).toBe(0);
    setOwnSteps('lower', MIDLINE, 500);
    // Two mesial surfaces of 0.675 mm (Vellini-Ferreira 2012), and what four visits hold.
    const { visits, perVisitLimitMm } = asked().request;
    expect(wishedSteps('lower', MIDLINE)).toBe(Math.min(13, visits * Math.round(perVisitLimitMm / 0.1)));
    expect(useStore.getState().ui.announcement.text).toContain('above the contact limit');
    setOwnSteps('lower', [47, 46], 1);
    expect(useStore.getState().ui.announcement.text).toMatch(/nothing can be planned here/);
  });

  it('each step is undone and redone; the account and what the plan is asked stay the same objects', () => {
    const before = asked();
    setOwnSteps('lower', MIDLINE, 1);
    setOwnSteps('lower', MIDLINE, 2);
    expect(asked()).toBe(before);
    undo();
    expect(wishedSteps('lower', MIDLINE)).toBe(1);
    undo();
    expect(lower().ownTenths).toBeUndefined();
    redo();
    expect(wishedSteps('lower', MIDLINE)).toBe(1);
    actions().dropOwnTenths('lower');
    expect(lower()).not.toHaveProperty('ownTenths');
  });

  it('amounts in force are the same object until something they are made of changes', () => {
    setOwnSteps('lower', MIDLINE, 1);
    const first = plannedAmountsOf('lower')!;
    expect(first.from).toBe('own');
    actions().setTitle('another');
    expect(plannedAmountsOf('lower')).toBe(first);
    setOwnSteps('lower', MIDLINE, 3);
    expect(plannedAmountsOf('lower')).not.toBe(first);
  });
});
