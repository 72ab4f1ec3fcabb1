import { useEffect } from 'react';
import { create } from 'zustand';
import type { PlannerClient } from '../../../workers/client.ts';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { useArchAccount } from './useArchAccount.ts';

/** A plan with the request it answers; while a newer request is under way the older plan stays in view. */
export interface PlanState {
  readonly request: ReductionRequest | null;
  readonly plan: ReductionPlan | null;
  readonly refusal: Refusal | null;
  readonly working: boolean;
}

const NOTHING: PlanState = { request: null, plan: null, refusal: null, working: false };

const usePlans = create<Record<Jaw, PlanState>>()(() => ({ upper: NOTHING, lower: NOTHING }));

const show = (jaw: Jaw, change: Partial<PlanState>): void =>
  usePlans.setState((all) => ({ [jaw]: { ...all[jaw], ...change } }));

/** How long a plan may take before the page says that it is being made. */
const SLOW_MS = 120;

let client: PlannerClient | null = null;
const wanted: Record<Jaw, ReductionRequest | null> = { upper: null, lower: null };
const running: Record<Jaw, boolean> = { upper: false, lower: false };

async function planner(): Promise<PlannerClient> {
  const { PlannerClient: Client } = await import('../../../workers/client.ts');
  client ??= new Client();
  return client;
}

const same = (a: ReductionRequest | null, b: ReductionRequest | null): boolean =>
  JSON.stringify(a) === JSON.stringify(b);

/** Plans the request wanted last, one at a time for each jaw; what came in meanwhile replaces what waited. */
async function work(jaw: Jaw): Promise<void> {
  if (running[jaw]) return;
  running[jaw] = true;
  try {
    for (;;) {
      const request = wanted[jaw];
      if (!request || same(request, usePlans.getState()[jaw].request)) break;
      // A plan that comes at once is not announced before.
      const slow = setTimeout(() => show(jaw, { working: true }), SLOW_MS);
      try {
        const plan = await (await planner()).plan(request);
        show(jaw, { request, plan, refusal: null, working: false });
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        show(jaw, { request, plan: null, refusal: error, working: false });
      } finally {
        clearTimeout(slow);
      }
    }
  } finally {
    running[jaw] = false;
    if (usePlans.getState()[jaw].working) show(jaw, { working: false });
  }
}

/** Keeps the plans of both jaws in step with their requests; used once, by the page. */
export function usePlanning(): void {
  const upper = useArchAccount('upper')?.asked?.request ?? null;
  const lower = useArchAccount('lower')?.asked?.request ?? null;
  useEffect(() => ask('upper', upper), [upper]);
  useEffect(() => ask('lower', lower), [lower]);
}

function ask(jaw: Jaw, request: ReductionRequest | null): void {
  wanted[jaw] = request;
  if (request) void work(jaw);
  else if (usePlans.getState()[jaw] !== NOTHING) usePlans.setState({ [jaw]: NOTHING });
}

/** The plan of a jaw. */
export const usePlan = (jaw: Jaw): PlanState => usePlans((all) => all[jaw]);

/** The plan of a jaw as it stands, outside of rendering. */
export const planOf = (jaw: Jaw): PlanState => usePlans.getState()[jaw];
