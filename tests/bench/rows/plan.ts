import loadHighs from 'highs';
import type { Jaw } from '../../../src/core/base/tooth.ts';
import { type BothArches, planBothArches } from '../../../src/core/reduction/planBothArches.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { contactsFor, makeContact, makeRequest } from '../../support/reductionRequests.ts';
import type { BenchCase } from '../BenchCase.ts';

// 26 contacts in two arches, 6 visits, limits of 4 to 7 tenths.
const request = (jaw: Jaw) =>
  makeRequest({
    jaw,
    neededMm: 2.6,
    neededSdMm: 0.3,
    visits: 6,
    contacts: contactsFor(jaw, 7).map((teeth, i) =>
      makeContact(teeth, { limitMm: [0.5, 0.7, 0.4, 0.6][i % 4] }),
    ),
  });

const makePair = (): BothArches => ({
  upper: request('upper'),
  lower: request('lower'),
  bands: [{ kind: 'anterior', lowPercent: 75.55, highPercent: 78.85, upperSumMm: 46, lowerSumMm: 37.5 }],
});

export const cases: readonly BenchCase[] = [
  {
    name: 'plan: two arches each by itself, 26 contacts, 6 visits',
    triangles: 0,
    rounds: 9,
    setUp() {
      const { upper, lower } = makePair();
      return {
        ours: () => {
          for (let i = 0; i < 20; i++) planReduction(upper);
          return Array.from({ length: 20 }, () => planReduction(lower));
        },
        reference: null,
        repeats: 20,
      };
    },
  },
  {
    name: 'plan: two arches together with the anterior ratio, 26 contacts, 6 visits',
    triangles: 0,
    rounds: 7,
    async setUp() {
      const solver = await loadHighs();
      const pair = makePair();
      return { ours: () => planBothArches(pair, solver), reference: null };
    },
  },
];
