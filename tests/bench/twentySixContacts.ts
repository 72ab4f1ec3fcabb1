import type { Jaw } from '../../src/core/base/tooth.ts';
import type { BothArches } from '../../src/core/reduction/planBothArches.ts';
import type { ReductionRequest } from '../../src/core/reduction/ReductionPlan.ts';
import { contactsFor, makeContact, makeRequest } from '../support/reductionRequests.ts';

const request = (jaw: Jaw): ReductionRequest =>
  makeRequest({
    jaw,
    neededMm: 2.6,
    neededSdMm: 0.3,
    visits: 6,
    contacts: contactsFor(jaw, 7).map((teeth, i) =>
      makeContact(teeth, { limitMm: [0.5, 0.7, 0.4, 0.6][i % 4] }),
    ),
  });

/** 26 contacts in two arches, 6 visits, limits of 4 to 7 tenths, the anterior ratio far outside its band. */
export const twentySixContacts = (): BothArches => ({
  upper: request('upper'),
  lower: request('lower'),
  bands: [{ kind: 'anterior', lowPercent: 75.55, highPercent: 78.85, upperSumMm: 46, lowerSumMm: 37.5 }],
});
