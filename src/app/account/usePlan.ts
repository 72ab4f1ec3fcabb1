import { useEffect, useMemo } from 'react';
import { create } from 'zustand';
import type { PlannerClient } from '../../../workers/client.ts';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import { type BothAsked, bothAsked } from '../../core/casefile/bothAsked.ts';
import type { BothArches, BothPlans } from '../../core/reduction/planBothArches.ts';
import type { PlanOptions } from '../../core/reduction/planReduction.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { partOfPage } from '../files/partOfPage.ts';
import { useStore } from '../store.ts';
import { useArchAccount } from './useArchAccount.ts';

/** A plan with the request it answers; while a newer request is under way the older plan stays in view. */
export interface PlanState {
  readonly request: ReductionRequest | null;
  readonly plan: ReductionPlan | null;
  readonly refusal: Refusal | null;
  readonly working: boolean;
}

/** The plans of both arches together with what they answer; null while each arch is planned by itself. */
export interface BothState {
  readonly asked: BothArches;
  readonly plans: BothPlans;
}

interface Plans extends Record<Jaw, PlanState> {
  readonly both: BothState | null;
}

const NOTHING: PlanState = { request: null, plan: null, refusal: null, working: false };

const usePlans = create<Plans>()(() => ({ upper: NOTHING, lower: NOTHING, both: null }));

const show = (jaws: readonly Jaw[], change: Partial<PlanState>): void =>
  usePlans.setState((all) => Object.fromEntries(jaws.map((jaw) => [jaw, { ...all[jaw], ...change }])));

/** How long a plan may take before the page says that it is being made. */
const SLOW_MS = 120;

let client: PlannerClient | null = null;

async function planner(): Promise<PlannerClient> {
  const { PlannerClient: Client } = await partOfPage(import('../../../workers/client.ts'));
  client ??= new Client();
  return client;
}

/** One thing that can be asked of the planner: an arch by itself, or both. */
interface Asked {
  readonly key: string; // what is asked, in full
  readonly jaws: readonly Jaw[];
  readonly plan: (client: PlannerClient) => Promise<Partial<Plans>>;
  /** What stands for the request where it is refused. */
  readonly requests: Partial<Record<Jaw, ReductionRequest>>;
}

type Lane = Jaw | 'both';
const wanted: Record<Lane, Asked | null> = { upper: null, lower: null, both: null };
const answered: Record<Lane, string | null> = { upper: null, lower: null, both: null };
const running: Record<Lane, boolean> = { upper: false, lower: false, both: false };

/** Plans what is wanted last, one at a time in each lane; what came in meanwhile replaces what waited. */
async function work(lane: Lane): Promise<void> {
  if (running[lane]) return;
  running[lane] = true;
  try {
    for (;;) {
      const asked = wanted[lane];
      if (!asked || asked.key === answered[lane]) break;
      // A plan that comes at once is not announced before.
      const slow = setTimeout(() => wanted[lane] && show(asked.jaws, { working: true }), SLOW_MS);
      try {
        const found = await planned(asked);
        settle(lane, asked, () => usePlans.setState(found));
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        settle(lane, asked, () => {
          for (const jaw of asked.jaws)
            show([jaw], { request: asked.requests[jaw] ?? null, plan: null, refusal: error, working: false });
          if (lane === 'both') usePlans.setState({ both: null });
        });
      } finally {
        clearTimeout(slow);
      }
    }
  } finally {
    running[lane] = false;
    const still = (['upper', 'lower'] as const).filter((jaw) => usePlans.getState()[jaw].working);
    if (still.length > 0 && !running.upper && !running.lower && !running.both)
      show(still, { working: false });
  }
}

/** A planner that dies is asked once more, afresh: a plan is small, and nobody asked for it by a button. */
async function planned(asked: Asked): Promise<Partial<Plans>> {
  try {
    return await asked.plan(await planner());
  } catch (error) {
    if (!(error instanceof Refusal && error.code === 'worker-died')) throw error;
    return await asked.plan(await planner());
  }
}

/** Asks anew for what a dead worker left unanswered. */
export function planAgain(): void {
  for (const lane of ['upper', 'lower', 'both'] as const) {
    answered[lane] = null;
    void work(lane);
  }
}

/** Shows an answer, unless the lane was left meanwhile (each arch by itself, both together). */
function settle(lane: Lane, asked: Asked, write: () => void): void {
  answered[lane] = asked.key;
  if (wanted[lane]) write();
}

const single = (jaw: Jaw, request: ReductionRequest, options: PlanOptions): Asked => ({
  key: JSON.stringify([request, options]),
  jaws: [jaw],
  requests: { [jaw]: request },
  plan: async (planning) => {
    const plan = await planning.plan(request, options);
    return { [jaw]: { request, plan, refusal: null, working: false } };
  },
});

const together = (asked: BothArches): Asked => ({
  key: JSON.stringify(asked),
  jaws: ['upper', 'lower'],
  requests: { upper: asked.upper, lower: asked.lower },
  plan: async (planning) => {
    const plans = await planning.planBoth(asked);
    const of = (jaw: Jaw): PlanState => ({
      request: asked[jaw],
      plan: plans[jaw],
      refusal: null,
      working: false,
    });
    return { upper: of('upper'), lower: of('lower'), both: { asked, plans } };
  },
});

/** Keeps the plans of both jaws in step with their requests; used once, by the page. */
export function usePlanning(): void {
  const both = useBothAsked()?.input ?? null;
  const upper = useSingleAsked('upper');
  const lower = useSingleAsked('lower');
  useEffect(() => {
    if (!both) usePlans.setState({ both: null });
    ask('both', both && together(both));
    ask('upper', both ? null : upper);
    ask('lower', both ? null : lower);
    for (const jaw of ['upper', 'lower'] as const)
      if (!both && !(jaw === 'upper' ? upper : lower)) usePlans.setState({ [jaw]: NOTHING });
  }, [both, upper, lower]);
}

function useSingleAsked(jaw: Jaw): Asked | null {
  const request = useArchAccount(jaw)?.asked?.request ?? null;
  const midline = useStore((state) => state.caseDocument.arches[jaw]?.plan.midline ?? null);
  return useMemo(() => request && single(jaw, request, { midline }), [jaw, request, midline]);
}

/** What both arches together are asked for; null while each is planned by itself. */
export function useBothAsked(): BothAsked | null {
  const caseDocument = useStore((state) => state.caseDocument);
  const upper = useArchAccount('upper');
  const lower = useArchAccount('lower');
  return useMemo(() => bothAsked(caseDocument, { upper, lower }), [caseDocument, upper, lower]);
}

function ask(lane: Lane, asked: Asked | null): void {
  wanted[lane] = asked;
  // What one lane answered is overwritten by the other: it has to be asked again.
  if (!asked) answered[lane] = null;
  else void work(lane);
}

/** The plan of a jaw. */
export const usePlan = (jaw: Jaw): PlanState => usePlans((all) => all[jaw]);

/** The plan of a jaw as it stands, outside of rendering. */
export const planOf = (jaw: Jaw): PlanState => usePlans.getState()[jaw];

/** The plans of both arches together, with what the bands cost; null while each arch is planned by itself. */
export const useBothPlans = (): BothState | null => usePlans((all) => all.both);
