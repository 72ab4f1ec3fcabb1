import loadHighs from 'highs';
import { afterEach, expect, test } from 'vitest';
import { planBothArches } from '../../src/core/reduction/planBothArches.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import type { ReductionRequest } from '../../src/core/reduction/ReductionPlan.ts';
import { PlannerClient } from '../../workers/client.ts';
import { plannerWork } from '../../workers/plannerWork.ts';
import { twentySixContacts } from '../bench/twentySixContacts.ts';
import { spawnOverChannel } from '../support/channelWorker.ts';
import { refusalOf } from '../support/refusal.ts';

const clients: PlannerClient[] = [];
afterEach(() => {
  for (const client of clients.splice(0)) client.close();
});

function makePlanner(): PlannerClient {
  const client = new PlannerClient(() => spawnOverChannel(plannerWork(() => loadHighs())));
  clients.push(client);
  return client;
}

const makeRequest = (): ReductionRequest => ({
  schema: 'archledger/reduction-request@1',
  jaw: 'lower',
  neededMm: 1.3,
  neededSdMm: 0.2,
  stepMm: 0.1,
  overshootRisk: 0.1,
  visits: 3,
  perVisitLimitMm: 0.3,
  contacts: [
    [43, 42],
    [42, 41],
    [41, 31],
    [31, 32],
  ].map(([a, b]) => ({
    teeth: [a, b],
    limitMm: 0.5,
    surfaceLimitsMm: [0.3, 0.3],
    locked: false,
    reachableFromVisit: 1,
  })),
});

test('the planner worker gives the plan of the direct call', async () => {
  expect(await makePlanner().plan(makeRequest())).toEqual(await planReduction(makeRequest()));
});

test('a broken request keeps its refusal', async () => {
  const broken = { ...makeRequest(), stepMm: -1 };
  const direct = await refusalOf(() => planReduction(broken));
  const refusal = await refusalOf(() => makePlanner().plan(broken));
  expect([refusal.code, refusal.message]).toEqual([direct.code, direct.message]);
});

test('the midline of a plan goes with its request', async () => {
  const midline = { shiftToRightMm: 0.2, toleranceMm: 0 };
  expect(await makePlanner().plan(makeRequest(), { midline })).toEqual(
    planReduction(makeRequest(), { midline }),
  );
});

test('both arches together give the plans of the direct call, and keep their refusal', async () => {
  const { upper, lower, bands } = twentySixContacts();
  const asked = { upper, lower, bands, extraMm: { upper: 0, lower: 0.2 } };
  const planner = makePlanner();
  expect(await planner.planBoth(asked)).toEqual(planBothArches(asked, await loadHighs()));
  const refusal = await refusalOf(() => planner.planBoth({ ...asked, lower: { ...lower, stepMm: 0.05 } }));
  expect([refusal.code, refusal.detail.field]).toEqual(['request-invalid', 'stepMm']);
});

test('cancel rejects with "cancelled" and the planner plans again', async () => {
  const planner = makePlanner();
  const waiting = refusalOf(() => planner.plan(makeRequest()));
  planner.cancel();
  expect((await waiting).code).toBe('cancelled');
  expect((await planner.plan(makeRequest())).status).toMatch(/meets|short/);
});
