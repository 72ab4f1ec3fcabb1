import { afterEach, expect, test } from 'vitest';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import type { ReductionRequest } from '../../src/core/reduction/ReductionPlan.ts';
import { PlannerClient } from '../../workers/client.ts';
import { plannerWork } from '../../workers/plannerWork.ts';
import { spawnOverChannel } from '../support/channelWorker.ts';
import { refusalOf } from '../support/refusal.ts';

const clients: PlannerClient[] = [];
afterEach(() => {
  for (const client of clients.splice(0)) client.close();
});

function makePlanner(): PlannerClient {
  const client = new PlannerClient(() => spawnOverChannel(plannerWork));
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

test('cancel rejects with "cancelled" and the planner plans again', async () => {
  const planner = makePlanner();
  const waiting = refusalOf(() => planner.plan(makeRequest()));
  planner.cancel();
  expect((await waiting).code).toBe('cancelled');
  expect((await planner.plan(makeRequest())).status).toMatch(/meets|short/);
});
