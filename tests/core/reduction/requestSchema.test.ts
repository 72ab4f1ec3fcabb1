import { describe, expect, it } from 'vitest';
import { Refusal } from '../../../src/core/base/refusal.ts';
import { readReductionRequest } from '../../../src/core/reduction/requestSchema.ts';
import { makeContact, makeRequest } from '../../support/reductionRequests.ts';

function refusalOf(value: unknown): Refusal {
  try {
    readReductionRequest(value);
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error('the request was accepted');
}

const withContact = (change: object) => ({
  ...makeRequest(),
  contacts: [{ ...makeContact([41, 31]), ...change }],
});

describe('readReductionRequest', () => {
  it('takes a request as it is', () => {
    const request = makeRequest();
    expect(readReductionRequest(JSON.parse(JSON.stringify(request)))).toEqual(request);
  });

  it.each<[string, unknown]>([
    ['neededMm', { ...makeRequest(), neededMm: Number.NaN }],
    ['neededMm', { ...makeRequest(), neededMm: Number.POSITIVE_INFINITY }],
    ['neededMm', { ...makeRequest(), neededMm: '1.2' }],
    ['neededMm', { ...makeRequest(), neededMm: undefined }],
    ['neededSdMm', { ...makeRequest(), neededSdMm: -0.1 }],
    ['stepMm', { ...makeRequest(), stepMm: 0 }],
    ['stepMm', { ...makeRequest(), stepMm: -0.1 }],
    ['stepMm', { ...makeRequest(), stepMm: 1e-12 }],
    ['overshootRisk', { ...makeRequest(), overshootRisk: 5 }],
    ['overshootRisk', { ...makeRequest(), overshootRisk: -0.01 }],
    ['visits', { ...makeRequest(), visits: 0 }],
    ['visits', { ...makeRequest(), visits: 2.5 }],
    ['visits', { ...makeRequest(), visits: 1e9 }],
    ['perVisitLimitMm', { ...makeRequest(), perVisitLimitMm: -0.1 }],
    ['jaw', { ...makeRequest(), jaw: 'left' }],
    ['contacts', { ...makeRequest(), contacts: {} }],
    ['contacts', { ...makeRequest(), contacts: undefined }],
    ['comment', { ...makeRequest(), comment: 'by hand' }],
    ['contacts[0].limitMm', withContact({ limitMm: -0.1 })],
    ['contacts[0].limitMm', withContact({ limitMm: 50 })],
    ['contacts[0].surfaceLimitsMm', withContact({ surfaceLimitsMm: [0.3] })],
    ['contacts[0].surfaceLimitsMm', withContact({ surfaceLimitsMm: [0.3, 0.3, 0.3] })],
    ['contacts[0].surfaceLimitsMm[1]', withContact({ surfaceLimitsMm: [0.3, -0.3] })],
    ['contacts[0].locked', withContact({ locked: 'no' })],
    ['contacts[0].reachableFromVisit', withContact({ reachableFromVisit: 0 })],
    ['contacts[0].reachableFromVisit', withContact({ reachableFromVisit: 1.5 })],
    ['contacts[0].note', withContact({ note: '' })],
    ['contacts[0].teeth', withContact({ teeth: [41] })],
    ['contacts[0].teeth[1]', withContact({ teeth: [41, 39] })],
    ['contacts[0].teeth', withContact({ teeth: [41, 41] })],
    ['contacts[0].teeth', withContact({ teeth: [41, 44] })],
    ['contacts[0].teeth', withContact({ teeth: [11, 21] })],
    ['contacts[0].teeth', withContact({ teeth: [41, 21] })],
  ])('refuses and names %s', (field, value) => {
    const refusal = refusalOf(value);
    expect(refusal.code).toBe('request-invalid');
    expect(refusal.detail.field).toBe(field);
    expect(refusal.message).toContain(`${field} is not valid; got `);
  });

  // Both ends of each range are taken, the next value beyond is not.
  it.each<[string, readonly [number, number], readonly [number, number]]>([
    ['neededMm', [-200, 200], [-200.01, 200.01]],
    ['neededSdMm', [0, 200], [-0.01, 200.01]],
    ['stepMm', [0.001, 10], [0.0009, 10.01]],
    ['overshootRisk', [0, 1], [-0.001, 1.001]],
    ['visits', [1, 60], [0, 61]],
    ['perVisitLimitMm', [0, 1000], [-0.01, 1000.01]],
  ])('%s from %o, not %o', (field, ends, beyond) => {
    for (const value of ends)
      expect(readReductionRequest({ ...makeRequest(), [field]: value })).toHaveProperty(field, value);
    for (const value of beyond) {
      const refusal = refusalOf({ ...makeRequest(), [field]: value });
      expect(refusal.detail).toMatchObject({ field, faults: 1 });
      expect(refusal.message).toContain(`got ${value}, need `);
    }
  });
  it.each<[string, readonly unknown[], readonly unknown[]]>([
    ['limitMm', [0, 10], [-0.01, 10.01]],
    ['reachableFromVisit', [1, 60], [0, 61]],
  ])('%s of a contact from %o, not %o', (field, ends, beyond) => {
    for (const value of ends)
      expect(readReductionRequest(withContact({ [field]: value })).contacts).toContainEqual(
        expect.objectContaining({ [field]: value }),
      );
    for (const value of beyond)
      expect(refusalOf(withContact({ [field]: value })).code).toBe('request-invalid');
  });

  it.each([
    [[42, 31], true], // one absent tooth between, across the midline
    [[42, 32], false], // two
    [[46, 43], false],
    [[46, 44], true],
  ] as const)('teeth %o as neighbours: %s', (teeth, taken) => {
    const request = makeRequest({ contacts: [makeContact(teeth)] });
    if (taken) expect(readReductionRequest(request).contacts[0].teeth).toEqual(teeth);
    else expect(refusalOf(request).message).toMatch(/at most 1 absent tooth/);
  });

  it('a tooth named elsewhere stands between; the place shared with a primary tooth is named', () => {
    const between = refusalOf(makeRequest({ contacts: [makeContact([42, 31]), makeContact([41, 31])] }));
    expect(between.message).toMatch(/41 stands between them/);
    expect(between.detail.field).toBe('contacts[0].teeth');
    const twin = refusalOf(makeRequest({ contacts: [makeContact([34, 75]), makeContact([35, 36])] }));
    expect(twin.message).toMatch(/35 stands in the same place/);
    const first = refusalOf(makeRequest({ contacts: [makeContact([75, 34]), makeContact([35, 36])] }));
    expect(first.message).toMatch(/35 stands in the same place/);
    const own = refusalOf(makeRequest({ contacts: [makeContact([75, 35])] }));
    expect(own.message).toMatch(/two different neighbours/);
  });

  it('says what it got in a few words on one line', () => {
    const message = (value: unknown) => refusalOf({ ...makeRequest(), stepMm: value }).message;
    expect(message(undefined)).toContain('got nothing, need');
    expect(message('wide')).toContain('got "wide", need');
    expect(message('x'.repeat(58))).toContain(`got "${'x'.repeat(58)}", need`); // 60 signs with its quotes
    expect(message('x'.repeat(59))).toContain(`got "${'x'.repeat(56)}…, need`);
    const odd = refusalOf({ ...makeRequest(), 'a b': 1 });
    expect(odd.message).toContain('"a b" is not valid; got 1, need no field of that name');
    expect(refusalOf({ ...makeRequest(), schema: 'archledger/reduction-request@2' }).message).toMatch(
      /newer version.*Use a newer version/,
    );
    expect(refusalOf([]).message).toMatch(/not a reduction request; got \[\], need schema/);
    expect(refusalOf({}).message).toMatch(/got schema nothing/);
  });

  it.each([
    ['listed twice', [makeContact([41, 31]), makeContact([41, 31])], 'contacts[1].teeth'],
    ['listed twice the other way round', [makeContact([41, 31]), makeContact([31, 41])], 'contacts[1].teeth'],
    ['over a tooth that is present', [makeContact([41, 42]), makeContact([41, 43])], 'contacts[1].teeth'],
    ['with a tooth and its predecessor', [makeContact([34, 35]), makeContact([34, 75])], 'contacts[0].teeth'],
  ])('refuses a contact %s', (_, contacts, field) => {
    const refusal = refusalOf(makeRequest({ contacts }));
    expect([refusal.code, refusal.detail.field]).toEqual(['request-invalid', field]);
  });

  it('takes a contact across one absent tooth', () => {
    expect(readReductionRequest(makeRequest({ contacts: [makeContact([41, 43])] })).contacts).toHaveLength(1);
    expect(readReductionRequest(makeRequest({ contacts: [makeContact([41, 32])] })).contacts).toHaveLength(1);
  });

  it.each<[string, unknown, string]>([
    ['nothing', null, 'schema-unknown'],
    ['a list', [], 'schema-unknown'],
    ['a number', 7, 'schema-unknown'],
    ['no name', {}, 'schema-unknown'],
    ['another kind', { ...makeRequest(), schema: 'archledger/case@1' }, 'schema-unknown'],
    ['version 0', { ...makeRequest(), schema: 'archledger/reduction-request@0' }, 'schema-unknown'],
    ['a much later version', { ...makeRequest(), schema: 'archledger/reduction-request@12' }, 'schema-newer'],
    [
      'a name within another',
      { ...makeRequest(), schema: 'x-archledger/reduction-request@2' },
      'schema-unknown',
    ],
    [
      'a version that is none',
      { ...makeRequest(), schema: 'archledger/reduction-request@2b' },
      'schema-unknown',
    ],
    ['a later version', { ...makeRequest(), schema: 'archledger/reduction-request@2' }, 'schema-newer'],
  ])('refuses %s by its schema', (_, value, code) => {
    expect(refusalOf(value).code).toBe(code);
  });
});
