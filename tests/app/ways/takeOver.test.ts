import { describe, expect, it } from 'vitest';
import { allowancesOf } from '../../../src/app/ways/takeOver.ts';
import { choicesOf } from '../../../src/app/ways/wayChoices.ts';
import { NO_DRAFT } from '../../../src/app/ways/waysStore.ts';
import { allowanceAmount } from '../../../src/core/space/allowanceAmount.ts';
import { combineAlternatives } from '../../../src/core/space/alternatives.ts';

const drafts = {
  'arch-width': {
    on: true,
    way: 'arch-width-motoyoshi-2002',
    inputs: { intermolarGainMm: 2, intercanineGainMm: 9 },
    sdMm: 0.2,
  },
  'incisor-position': { ...NO_DRAFT, on: true, inputs: { advanceMm: 0.5 } },
  'molar-movement': { ...NO_DRAFT, inputs: { distalRightMm: 1 } },
  reduction: { ...NO_DRAFT, on: true, inputs: { amountMm: 1 } },
};

describe('ticked ways', () => {
  const choices = choicesOf(drafts, 'lower');

  it('each with its rule, or the first of its kind, and the inputs that rule takes', () => {
    expect(choices).toEqual([
      { way: 'arch-width-motoyoshi-2002', inputs: { intermolarGainMm: 2 }, ownSdMm: 0.2 },
      { way: 'reduction', inputs: { amountMm: 1 } },
      { way: 'incisor-position', inputs: { advanceMm: 0.5 } },
    ]);
  });

  it('taken over as allowances they give what they gave in the sum, but for the enamel', () => {
    const allowances = allowancesOf(choices);
    expect(allowances.map(({ rule }) => rule)).toEqual(['arch-width-motoyoshi-2002', 'incisor-position']);
    const given = allowances.map((allowance) => allowanceAmount(allowance, 'lower'));
    expect(given.map(({ amountMm }) => amountMm)).toEqual([0.74, 1]);
    expect(given.map(({ sdMm }) => sdMm)).toEqual([0.2, 0]);
    const sum = combineAlternatives(choices, {
      jaw: 'lower',
      shortageMm: 4,
      shortageSdMm: 0.3,
      enamelMostMm: 5,
    });
    expect(sum.totalMm).toBeCloseTo(0.74 + 1 + 1, 12);
    expect(sum.sdMm).toBeCloseTo(Math.hypot(0.3, 0.2), 12);
  });
});
