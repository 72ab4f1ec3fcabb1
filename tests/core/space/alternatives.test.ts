import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { allowanceRule } from '../../../src/core/space/allowanceRules.ts';
import {
  type AlternativesContext,
  alternativesTable,
  combineAlternatives,
  extractionSets,
} from '../../../src/core/space/alternatives.ts';
import { alternativeWays } from '../../../src/core/space/alternativeWays.ts';
import type { Ledger, LedgerEntry } from '../../../src/core/space/Ledger.ts';
import { makeMeasures } from '../../support/measures.ts';

const DEGREE = Math.PI / 180;
const context: AlternativesContext = {
  jaw: 'lower',
  shortageMm: 6,
  shortageSdMm: 0.4,
  enamelMostMm: 4,
};

describe('alternatives', () => {
  const unit = (way: string, i = 0) =>
    alternativesTable(context).rows.find((row) => row.way.id === way)!.units[i];

  it('each gives per unit what its rule says', () => {
    expect(alternativesTable(context).beyondEnamelMm).toBe(2);
    // Secondary source: 1 mm forward gives 2 mm of arch.
    expect(unit('incisor-position')).toMatchObject({ amountMm: 2, needed: 1 });
    // 1 mm per 5°; Tweed, from memory, 0.8 mm per degree.
    expect(unit('incisor-inclination').amountMm).toBeCloseTo(1, 12);
    expect(unit('incisor-inclination').rulesMm[1]).toBeCloseTo(4, 9);
    // Per mm between the molars: Kirschen 0.5, Motoyoshi 0.37, Ricketts 0.25, Elkholy 0.04 in a lower arch.
    expect(unit('arch-width-kirschen-2000')).toMatchObject({
      amountMm: 0.5,
      needed: 4,
      rulesMm: [0.04, 0.5],
    });
    expect(unit('arch-width-ricketts-1982', 0).amountMm).toBe(1); // canines
    expect(unit('arch-width-ricketts-1982', 1).amountMm).toBe(0.25); // molars
    expect(unit('arch-width-adkins-1990').needed).toBeCloseTo(2 / 0.7, 12);
    // Baldridge at a depth sum of 4 mm: 0.488 × 4 − 0.51 = 1.442, used and not gained.
    expect(unit('spee-baldridge-1969').amountMm).toBeCloseTo(-(0.488 * 4 - 0.51), 12);
    expect(unit('spee-baldridge-1969').needed).toBeNull();
    expect(unit('build-up')).toMatchObject({ amountMm: -1, needed: null });
    expect(unit('reduction')).toMatchObject({ amountMm: 0.1, needed: 20, rulesMm: [0.1, 0.1] });
  });

  it('every rule of the account is offered, each with what it costs and its source; none is marked as the one', () => {
    for (const way of alternativeWays('upper')) {
      expect(way.costs.length, way.id).toBeGreaterThan(0);
      for (const cost of way.costs) expect(cost.source.text, way.id).not.toBe('');
      if (way.id !== 'reduction') expect(way.source).toEqual(allowanceRule(way.id)!.source);
    }
    expect(JSON.stringify(alternativesTable(context))).not.toMatch(/recommend|preferred|best/i);
  });

  it('what uses space is never needed for it, and what gives some is in proportion', () => {
    for (const jaw of ['upper', 'lower'] as const)
      for (const { way, units } of alternativesTable({ ...context, jaw }).rows) {
        expect(units.length, way.id).toBeGreaterThan(0);
        for (const { amountMm, needed, words } of units)
          if (way.kind === 'spee' || amountMm < 0) expect(needed, words).toBeNull();
          else expect(needed! * amountMm, words).toBeCloseTo(2, 9);
      }
  });

  it('one change of the arch lies in one range, by whichever rule of its kind it is reckoned', () => {
    const ranges = new Map<string, readonly [number, number]>();
    for (const { way, units } of alternativesTable(context).rows)
      for (const { words, amountMm, rulesMm } of units) {
        const [low, high] = rulesMm;
        expect(low, `${way.id} ${words}`).toBeLessThanOrEqual(amountMm + 1e-12);
        expect(high, `${way.id} ${words}`).toBeGreaterThanOrEqual(amountMm - 1e-12);
        expect(rulesMm, words).toEqual(ranges.get(words) ?? rulesMm);
        ranges.set(words, rulesMm);
      }
    expect(ranges.get('1 mm wider between the first molars')).toEqual([0.04, 0.5]);
    // Egyptian sample 0.536, Germane 0.73, Ricketts 1, Paulino 1.36.
    expect(ranges.get('1 mm wider between the canines')).toEqual([0.536, 1.36]);
  });

  it('rules that do not count a change that is made are not in its range; a change of nothing is none', () => {
    const by = (inputs: Record<string, number>) =>
      combineAlternatives([{ way: 'arch-width-ricketts-1982', inputs }], context).chosen[0].rulesMm!;
    // Only Ricketts (1 and 0.25) and Germane (0.73 and 0.27) count both canines and molars.
    const [low, high] = by({ intercanineGainMm: 1, intermolarGainMm: 2 });
    expect(low).toBeCloseTo(0.73 + 2 * 0.27, 12);
    expect(high).toBeCloseTo(1.5, 12);
    const molars = by({ intercanineGainMm: 0, intermolarGainMm: 2 });
    expect([molars[0], molars[1]]).toEqual([0.08, 1]);
  });

  it('only teeth taken out are lost, and only width and inclination have scores that end at 3 mm', () => {
    for (const { id, kind, costs, ceiling, inputs } of alternativeWays('lower')) {
      expect(inputs.length, id).toBeGreaterThan(0);
      expect(/lost for good/.test(costs.map(({ text }) => text).join()), id).toBe(id === 'extraction');
      expect(/Uses space/.test(costs.map(({ text }) => text).join()), id).toBe(id === 'build-up');
      // Kirschen et al. 2000 score these two, and never above 3 mm.
      expect(ceiling?.mostMm ?? null, id).toBe(
        kind === 'arch-width' || kind === 'incisor-inclination' ? 3 : null,
      );
    }
  });

  it('choices add up against the shortage, with SD', () => {
    const sum = combineAlternatives(
      [
        { way: 'reduction', inputs: { amountMm: 3 }, ownSdMm: 0.3 },
        { way: 'arch-width-kirschen-2000', inputs: { intermolarGainMm: 2 } },
        { way: 'incisor-inclination', inputs: { proclinationRad: 5 * DEGREE } },
      ],
      context,
    );
    expect(sum.totalMm).toBeCloseTo(5, 12);
    expect(sum.balanceMm).toBeCloseTo(-1, 12);
    expect(sum.sdMm).toBeCloseTo(0.5, 12); // √(0.4² + 0.3²)
    expect(sum.chanceShort).toBeCloseTo(0.97725, 5); // Φ(2), normal table
    // By Elkholy 0.08 and 1 mm; by Kirschen 1 and by Tweed 4 mm.
    expect(sum.balanceByRulesMm![0]).toBeCloseTo(3 + 0.08 + 1 - 6, 9);
    expect(sum.balanceByRulesMm![1]).toBeCloseTo(3 + 1 + 4 - 6, 9);
    expect(sum.cautions).toEqual([]);
  });

  it('says what goes beyond enamel or source, what may count twice, and what is wanting', () => {
    const far = combineAlternatives(
      [
        { way: 'reduction', inputs: { amountMm: 4.5 } },
        { way: 'arch-width-kirschen-2000', inputs: { intermolarGainMm: 8 } },
      ],
      context,
    );
    expect(far.chosen[0].beyond).toMatch(/4\.0 mm that the limits/);
    expect(far.chosen[1].beyond).toMatch(/more than the 3 mm/);
    const twice = combineAlternatives(
      [
        { way: 'incisor-position', inputs: { advanceMm: 1 } },
        { way: 'incisor-inclination', inputs: { proclinationRad: 0.1 } },
        { way: 'incisor-inclination-tweed', inputs: { proclinationRad: 0.1 } },
        { way: 'extraction', inputs: { widthRemovedMm: 5.4, anchorageLossMm: 1 } },
        { way: 'reduction', inputs: { amountMm: 1 } },
      ],
      context,
    );
    expect(twice.cautions.join(' ')).toMatch(/Two rules for incisor inclination.*one movement.*no enamel/);
    expect(twice.chosen[3].amountMm).toBeCloseTo(4.4, 12);
    const open = combineAlternatives(
      [
        { way: 'arch-width-ricketts-1982', inputs: { intercanineGainMm: 1 } },
        { way: 'wishing', inputs: {} },
      ],
      context,
    );
    expect(open).toMatchObject({ totalMm: null, balanceMm: null, chanceShort: null });
    expect(open.chosen[0].missing).toBe('widening between the first molars');
    expect(open.chosen[1].missing).toMatch(/wishing/);
    // One choice that lacks its figures leaves no sum, whatever the others give.
    const half = combineAlternatives(
      [
        { way: 'reduction', inputs: { amountMm: 1 } },
        { way: 'wishing', inputs: {} },
      ],
      context,
    );
    expect(half).toMatchObject({ totalMm: null, balanceByRulesMm: null, chanceShort: null });
    expect(half.chosen[0].amountMm).toBe(1);
    expect(
      combineAlternatives([{ way: 'reduction', inputs: { amountMm: Number.NaN } }], context).totalMm,
    ).toBeNull();
  });

  it('beyond the enamel: nothing where it bears all, everything where it bears none', () => {
    const beyond = (shortageMm: number, enamelMostMm: number) =>
      alternativesTable({ ...context, shortageMm, enamelMostMm }).beyondEnamelMm;
    expect([beyond(6, 4), beyond(4, 4), beyond(3, 4), beyond(-1, 4), beyond(6, 0)]).toEqual([2, 0, 0, 0, 6]);
    const none = alternativesTable({ ...context, shortageMm: 3 });
    expect(none.rows.find(({ way }) => way.id === 'incisor-position')!.units[0].needed).toBe(0);
  });

  it('at the border itself nothing goes beyond; nothing errs: short or not is sure', () => {
    const of = (amountMm: number) =>
      combineAlternatives([{ way: 'reduction', inputs: { amountMm } }], { ...context, shortageSdMm: 0 });
    expect(of(4).chosen[0].beyond).toBeNull();
    expect(of(4.01).chosen[0].beyond).toMatch(/4\.0 mm/);
    expect(of(5.9)).toMatchObject({ sdMm: 0, chanceShort: 1 });
    expect(of(6)).toMatchObject({ balanceMm: 0, chanceShort: 0 });
    expect(of(-0.1).chosen[0]).toMatchObject({ amountMm: null, missing: expect.stringMatching(/0 or more/) });
    expect(of(0).totalMm).toBe(0);
    const wider = (mm: number) =>
      combineAlternatives([{ way: 'arch-width-kirschen-2000', inputs: { intermolarGainMm: mm } }], context);
    expect(wider(6).chosen[0].beyond).toBeNull(); // 3 mm, as far as the source goes
    expect(wider(6.1).chosen[0].beyond).toMatch(/3 mm/);
  });

  it('each choice brings its own SD, the user’s or that of measured depths', () => {
    const measures = makeMeasures({
      speeDepthRight: { valueMm: 2, sdMm: 0.3 },
      speeDepthLeft: { valueMm: 2, sdMm: 0.4 },
    });
    const level = { way: 'spee-garcia-1985', inputs: {} };
    const exact = { ...context, shortageSdMm: 0, measures };
    // Garcia 1985: 0.657 mm per mm of depth sum; √(0.3² + 0.4²) = 0.5.
    expect(combineAlternatives([level], exact).sdMm).toBeCloseTo(0.657 * 0.5, 6);
    expect(combineAlternatives([{ ...level, ownSdMm: 0.8 }], exact).sdMm).toBeCloseTo(0.8, 12);
    // The other rules are given the same depths: 2 + 2 mm need 0.2462 × 4 − 0.1723 by Braun, 0.657 × 4 + 1.34 by Garcia.
    const [most, least] = combineAlternatives([level], exact).chosen[0].rulesMm!;
    expect(most).toBeCloseTo(-(0.657 * 4 + 1.34), 9);
    expect(least).toBeCloseTo(-(0.2462 * 4 - 0.1723), 9);
    expect(combineAlternatives([level], { ...exact, measures: null }).chosen[0]).toMatchObject({
      amountMm: null,
      rulesMm: null,
    });
  });

  it('one choice of a kind is no double count; an entry of nothing is none either', () => {
    const one = [{ way: 'arch-width-kirschen-2000', inputs: { intermolarGainMm: 2 } }];
    expect(combineAlternatives(one, context).cautions).toEqual([]);
    const molars = { way: 'molar-movement', inputs: { distalRightMm: 1, distalLeftMm: 0 } };
    expect(combineAlternatives([molars, molars], context).cautions).toEqual([]);
    const position = { way: 'incisor-position', inputs: { advanceMm: 1 } };
    expect(combineAlternatives([position, ...one], context).cautions).toEqual([]);
    const out = { way: 'extraction', inputs: { widthRemovedMm: 7, anchorageLossMm: 1 } };
    // Two teeth may be taken out, and enamel be entered in two parts: neither is counted twice.
    const enamel = { way: 'reduction', inputs: { amountMm: 1 } };
    expect(combineAlternatives([out, out], context).cautions).toEqual([]);
    expect(combineAlternatives([enamel, enamel], context).cautions).toEqual([]);
  });

  it('premolars of the upper arch, and no single upper incisor', () => {
    const widths = [14, 24, 15, 25, 12, 42].map((tooth) => ({ tooth, widthMm: 7, sdMm: 0.1 }));
    expect(extractionSets('upper', widths, 6).map(({ teeth }) => teeth)).toEqual([
      [14, 24],
      [15, 25],
    ]);
  });

  it('laws: order changes nothing, a choice more adds its own amount (seed 4)', () => {
    const choice = fc.oneof(
      fc.double({ min: 0, max: 5, noNaN: true }).map((x) => ({ way: 'reduction', inputs: { amountMm: x } })),
      fc
        .double({ min: -3, max: 3, noNaN: true })
        .map((x) => ({ way: 'incisor-position', inputs: { advanceMm: x } })),
      fc
        .double({ min: 0, max: 5, noNaN: true })
        .map((x) => ({ way: 'arch-width-motoyoshi-2002', inputs: { intermolarGainMm: x } })),
    );
    fc.assert(
      fc.property(fc.array(choice, { maxLength: 5 }), choice, (list, more) => {
        const sum = combineAlternatives(list, context);
        expect(combineAlternatives([...list].reverse(), context).totalMm).toBeCloseTo(sum.totalMm!, 9);
        const with1 = combineAlternatives([...list, more], context);
        const own = combineAlternatives([more], context).totalMm!;
        expect(with1.totalMm).toBeCloseTo(sum.totalMm! + own, 9);
        expect(with1.balanceByRulesMm![0]).toBeLessThanOrEqual(with1.balanceMm! + 1e-9);
        expect(with1.balanceByRulesMm![1]).toBeGreaterThanOrEqual(with1.balanceMm! - 1e-9);
      }),
      { seed: 4, numRuns: 100 },
    );
  });

  it('what the account spends by choice could be given back; what it measures could not', () => {
    const entry = (id: string, amountMm: number | null, editable: boolean): LedgerEntry => ({
      id,
      what: id,
      amountMm,
      sdMm: 0,
      source: { standing: 'user', text: '' },
      editable,
      missing: null,
      evidenceTeeth: [],
      note: null,
      varianceShare: null,
    });
    const entries = [
      entry('arch-line', 66, false),
      entry('widths', -70, false),
      entry('widths-predicted', -2, true),
      entry('spee', -1.4, true),
      entry('arch-width', 1, true),
      entry('molar-movement', 0, true),
      entry('other', null, true),
    ];
    const ledger: Ledger = {
      jaw: 'lower',
      entries,
      availableMm: 66,
      requiredMm: 72,
      differenceMm: null,
      sdMm: null,
      missing: [],
    };
    expect(alternativesTable({ ...context, ledger }).givesBack).toEqual([
      { id: 'spee', what: 'spee', amountMm: 1.4 },
    ]);
    const twice = [{ way: 'arch-width-kirschen-2000', inputs: { intermolarGainMm: 2 } }];
    expect(combineAlternatives(twice, { ...context, ledger }).cautions).toEqual([
      'The space account has an entry for arch width already: this comes on top of it.',
    ]);
    // A second entry of the kind is one too; one of 0, or of another kind, is not.
    const beside = (id: string, amountMm: number | null) =>
      combineAlternatives(twice, {
        ...context,
        ledger: { ...ledger, entries: [entry(id, amountMm, true), entry('spee', -1, true)] },
      }).cautions.length;
    expect([beside('arch-width-2', 1), beside('arch-width', 0), beside('arch-width', null)]).toEqual([
      1, 0, 0,
    ]);
    const out = [{ way: 'extraction', inputs: { widthRemovedMm: 7, anchorageLossMm: 1 } }];
    const withExtraction = { ...ledger, entries: [entry('extraction', 7, true)] };
    expect(combineAlternatives(out, { ...context, ledger: withExtraction }).cautions).toEqual([]);
    expect(alternativesTable(context).givesBack).toEqual([]);
  });

  it('widths that extraction would free, from the widths at hand', () => {
    const widths = [
      { tooth: 44, widthMm: 7.1, sdMm: 0.1 },
      { tooth: 34, widthMm: 7, sdMm: 0.1 },
      { tooth: 41, widthMm: 5.3, sdMm: 0.1 },
      { tooth: 45, widthMm: 7.2, sdMm: 0.1 },
    ];
    const sets = extractionSets('lower', widths, 6);
    expect(sets.map(({ teeth }) => teeth)).toEqual([[41], [44, 34]]);
    expect(sets[1].leftOverMm).toBeCloseTo(8.1, 12);
    expect(sets[1].sdMm).toBeCloseTo(Math.SQRT2 / 10, 12);
    expect(sets[0].leftOverMm).toBeCloseTo(-0.7, 12);
  });
});
