import { describe, expect, it } from 'vitest';
import { jointContacts, outsideBandsMm, type RatioBand } from '../../../src/core/reduction/twoArchModel.ts';
import { makeContact, makeRequest } from '../../support/reductionRequests.ts';

const band = (change: Partial<RatioBand> = {}): RatioBand => ({
  kind: 'anterior',
  lowPercent: 75,
  highPercent: 80,
  upperSumMm: 46,
  lowerSumMm: 36,
  ...change,
});
const upper = makeRequest({
  jaw: 'upper',
  contacts: [
    makeContact([11, 21], { surfaceLimitsMm: [0.1, 0.5] }),
    makeContact([14, 13]),
    makeContact([16, 15]),
    makeContact([26, 27]),
    makeContact([63, 24]),
  ],
});
const lower = makeRequest({
  contacts: [makeContact([42, 41]), makeContact([33, 34]), makeContact([31, 32], { locked: true })],
});
const bands = [band(), band({ kind: 'overall' })];
const modelled = () => jointContacts([upper, lower], bands);

describe('two arches in one model', () => {
  it('upper first, in the order asked, nothing to be had where a contact is locked', () => {
    const contacts = modelled();
    expect(contacts.map(({ arch, index }) => [arch, index])).toEqual([
      [0, 0],
      [0, 1],
      [0, 2],
      [0, 3],
      [0, 4],
      [1, 0],
      [1, 1],
      [1, 2],
    ]);
    expect(contacts[0]).toMatchObject({ capacity: 5, bound: 5 });
    expect(contacts[7].bound).toBe(0);
    for (const { takenMm, shiftMm, bound } of contacts) {
      expect(shiftMm).toHaveLength(bound + 1);
      for (const taken of takenMm) expect(taken).toHaveLength(bound + 1);
      expect([shiftMm[0], takenMm[0][0], takenMm[1][0]].map(Math.abs)).toEqual([0, 0, 0]);
    }
  });

  it('a ratio loses what is taken from its own teeth: canine to canine, first molar to first molar, none of primary ones', () => {
    const contacts = modelled();
    const taken = (i: number, steps: number) => contacts[i].takenMm.map((of) => of[steps]);
    const close = (values: readonly number[]) => values.map((v) => expect.closeTo(v, 9));
    expect(taken(0, 4)).toEqual(close([0.4, 0.4])); // both incisors
    expect(taken(1, 4)).toEqual(close([0.2, 0.4])); // the canine; canine and premolar
    expect(taken(2, 4)).toEqual(close([0, 0.4]));
    expect(taken(3, 4)).toEqual(close([0, 0.2])); // the first molar alone
    expect(taken(4, 4)).toEqual(close([0, 0.2])); // the premolar, not the primary canine
  });

  it('the middle moves by half of what is taken, toward the side that gives', () => {
    const contacts = modelled();
    const shift = (i: number, steps: number) => contacts[i].shiftMm[steps];
    expect(shift(1, 4)).toBeCloseTo(0.2, 9); // right
    expect(shift(3, 4)).toBeCloseTo(-0.2, 9); // left
    // 0.1 mm off 11 and 0.3 off 21: half of the difference, to the left.
    expect(shift(0, 4)).toBeCloseTo(-0.1, 9);
    expect(shift(0, 2)).toBeCloseTo(0, 9);
    expect(shift(6, 5)).toBeCloseTo(-0.25, 9);
  });

  it('outside the bands: lower arch above or below what the upper asks for, all bands together', () => {
    const none = modelled().map(() => 0);
    const outside = (...of: readonly Partial<RatioBand>[]) => {
      const own = of.map((change) => band(change));
      return outsideBandsMm(jointContacts([upper, lower], own), none, own);
    };
    expect(outside({})).toBe(0); // 34.5 to 36.8
    expect(outside({ lowerSumMm: 37 })).toBeCloseTo(0.2, 9);
    expect(outside({ lowerSumMm: 34 })).toBeCloseTo(0.5, 9);
    expect(outside({ lowerSumMm: 37 }, { kind: 'overall', lowerSumMm: 34 })).toBeCloseTo(0.7, 9);
    expect(outside()).toBe(0);
    // 0.4 mm off the lower incisors, 0.2 off the upper canine: 36.6 where 0.8 × 45.8 = 36.64 are allowed.
    const steps = [0, 4, 0, 0, 0, 4, 0, 0];
    const own = [band({ lowerSumMm: 37 })];
    expect(outsideBandsMm(jointContacts([upper, lower], own), steps, own)).toBe(0);
    const less = [0, 4, 0, 0, 0, 3, 0, 0];
    expect(outsideBandsMm(jointContacts([upper, lower], own), less, own)).toBeCloseTo(0.06, 9);
  });
});
