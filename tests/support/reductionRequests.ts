import { archOrder, type Contact, contactsOf, type Jaw, positionOf } from '../../src/core/base/tooth.ts';
import type { ReductionRequest, RequestContact } from '../../src/core/reduction/ReductionPlan.ts';
import type { ContactChoice } from '../../src/core/reduction/reductionRequest.ts';
import { makeRandom } from './random.ts';

export const makeContact = (teeth: Contact, change: Partial<RequestContact> = {}): RequestContact => ({
  teeth,
  limitMm: 0.5,
  surfaceLimitsMm: [0.5, 0.5],
  locked: false,
  reachableFromVisit: 1,
  ...change,
});

export const makeRequest = (change: Partial<ReductionRequest> = {}): ReductionRequest => ({
  schema: 'archledger/reduction-request@1',
  jaw: 'lower',
  neededMm: 1,
  neededSdMm: 0,
  stepMm: 0.1,
  overshootRisk: 0.05,
  visits: 3,
  perVisitLimitMm: 0.3,
  contacts: contactsFor('lower', 3).map((teeth) => makeContact(teeth)),
  ...change,
});

/** What a user has said of a contact: nothing, but for the change. */
export const makeChoice = (change: Partial<ContactChoice>): ContactChoice => ({
  teeth: [41, 31],
  limitMm: null,
  limitReason: '',
  surfaceLimitsMm: [null, null],
  earlierReductionMm: [0, 0],
  lock: null,
  reachableFromVisit: 1,
  ...change,
});

/** Contacts between the teeth up to a position on both sides. */
export const contactsFor = (jaw: Jaw, lastPosition: number): readonly Contact[] =>
  contactsOf(archOrder(jaw).filter((tooth) => positionOf(tooth) <= lastPosition));

/** A request of a few contacts, small enough to enumerate, with every kind of limit in play. */
export function randomRequest(seed: number, contactCount: number): ReductionRequest {
  const random = makeRandom(seed);
  const whole = (low: number, high: number) => low + Math.floor(random() * (high - low + 1));
  const jaw: Jaw = random() < 0.5 ? 'upper' : 'lower';
  const stepMm = [0.1, 0.1, 0.05, 0.07, 1 / 3][whole(0, 4)];
  const all = [...contactsFor(jaw, 4)].sort(() => random() - 0.5).slice(0, contactCount);
  const visits = whole(1, 4);
  const contacts = all.map((teeth) =>
    makeContact(random() < 0.3 ? [teeth[1], teeth[0]] : teeth, {
      limitMm: stepMm * whole(random() < 0.1 ? 0 : 2, 8) + (random() < 0.5 ? 0 : stepMm * random()),
      surfaceLimitsMm: [
        stepMm * random() * 5,
        random() < 0.3 ? stepMm * whole(0, 5) : stepMm * (1 + random() * 4),
      ],
      locked: random() < 0.08,
      reachableFromVisit: random() < 0.5 ? 1 : whole(1, visits + 1),
    }),
  );
  return makeRequest({
    jaw,
    contacts,
    visits,
    stepMm,
    perVisitLimitMm: stepMm * (random() < 0.5 ? whole(1, 5) : 0.8 + random() * 4),
    neededMm: stepMm * (random() * (3 * contactCount + 1) - 1),
    neededSdMm: random() < 0.3 ? 0 : stepMm * random() * 4,
    overshootRisk: [0.05, 0.5, 0.2, 0.01, 0.9][whole(0, 4)],
  });
}
