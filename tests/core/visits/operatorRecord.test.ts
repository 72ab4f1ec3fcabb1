import { describe, expect, it } from 'vitest';
import { cuttingPrior } from '../../../src/core/reduction/cuttingPriors.ts';
import type { CutEntry } from '../../../src/core/visits/CutEntry.ts';
import {
  cutPlace,
  operatorCells,
  operatorCuts,
  operatorHabit,
  operatorRows,
} from '../../../src/core/visits/operatorRecord.ts';
import { seeded } from '../../support/markArches.ts';
import { gauge, LOWER_CONTACTS, makeEntry, makeMeasure } from '../../support/visitCases.ts';

/** Visits of a hand that takes a known part of what is planned, its own spread known as well. */
function visitsOf(count: number, ratio: number, sd: number, instrument: CutEntry['instrument'] = 'strip') {
  const { normal } = seeded(11);
  return Array.from({ length: count }, (_, i) => {
    const done = Math.max(0, 0.3 * ratio + sd * normal());
    const teeth = LOWER_CONTACTS[3 + (i % 5)];
    return [makeEntry(teeth, gauge(done), { plannedMm: 0.3, instrument, id: 1 })];
  }).flatMap((entries) => operatorCuts(entries, null));
}

describe('operator record', () => {
  it('finds the bias and spread of a hand it was not told of', () => {
    const cuts = visitsOf(400, 0.7, 0.06);
    const [all] = operatorCells(cuts);
    expect(all).toMatchObject({ instrument: 'all', place: 'all', count: 400 });
    expect(all.ratio).toBeCloseTo(0.7, 1);
    expect(all.biasMm).toBeCloseTo(-0.09, 2);
    expect(all.sdMm).toBeCloseTo(0.06, 2);
  });

  it('the belief about the hand goes from the study to the hand', () => {
    const rounded = cuttingPrior('rounded')!;
    const nothing = operatorHabit([], rounded, 'strip');
    expect(nothing([41, 31]).ratio).toBe(0.5);
    const learned = operatorHabit(visitsOf(400, 0.9, 0.05), rounded, 'strip');
    expect(learned([41, 31]).ratio).toBeCloseTo(0.9, 1);
    // One object a region, so that a forecast knows its ratio to be one unknown.
    expect(learned([42, 41])).toBe(learned([41, 31]));
    expect(learned([45, 44])).not.toBe(learned([41, 31]));
  });

  it('surfaces count before gauges; what was only felt counts for nothing; corrections count once', () => {
    const entries = [
      makeEntry([41, 31], gauge(0.2), { id: 1, plannedMm: 0.2 }),
      makeEntry([41, 31], gauge(0.3), { id: 2, plannedMm: 0.2, replaces: 1 }),
      makeEntry([31, 32], { by: 'feel', amountMm: 0.3 }, { id: 3, plannedMm: 0.3 }),
      makeEntry([32, 33], gauge(0.1, 0.2), { id: 4, plannedMm: 0.2, visit: 2 }),
    ];
    const measure = makeMeasure([{ teeth: [41, 31], enamelGone: { valueMm: 0.28, sdMm: 0.04 } }]);
    const cuts = operatorCuts(entries, { measure, afterVisit: 1 });
    expect(cuts).toHaveLength(2);
    expect(cuts[0]).toMatchObject({ teeth: [41, 31], plannedMm: 0.2, found: 'surfaces' });
    expect(cuts[0].performed.valueMm).toBe(0.28);
    expect(cuts[1]).toMatchObject({ teeth: [32, 33], found: 'gauge' });
    expect(cuts[1].performed.valueMm).toBeCloseTo(0.15, 12);
  });

  it('cells by instrument and region; their counts add up', () => {
    const cuts = [...visitsOf(6, 0.5, 0.05), ...visitsOf(4, 0.8, 0.05, 'disc')];
    const [all, ...cells] = operatorCells(cuts);
    expect(cells.reduce((sum, cell) => sum + cell.count, 0)).toBe(all.count);
    expect(new Set(cells.map(({ instrument }) => instrument))).toEqual(new Set(['strip', 'disc']));
    expect(operatorCells([])).toEqual([]);
    expect([cutPlace([41, 31]), cutPlace([44, 43]), cutPlace([46, 45])]).toEqual([
      'front',
      'premolar',
      'molar',
    ]);
    const table = operatorRows(cuts);
    expect(table.rows).toHaveLength(10);
    expect(table.rows.every((row) => row.length === table.header.length)).toBe(true);
  });
});
