import type { Contact, Jaw } from '../base/tooth.ts';

/** `reduction-request@1`: what a plan is asked for. All amounts mm; visits counted from 1. */
export interface ReductionRequest {
  readonly schema: 'archledger/reduction-request@1';
  readonly jaw: Jaw;
  readonly neededMm: number;
  readonly neededSdMm: number;
  readonly stepMm: number; // 0.1
  readonly overshootRisk: number; // 0–1, accepted risk of taking more than is needed
  readonly visits: number;
  readonly perVisitLimitMm: number; // per contact and visit
  readonly contacts: readonly RequestContact[];
}

export interface RequestContact {
  readonly teeth: Contact;
  readonly limitMm: number; // per contact
  readonly surfaceLimitsMm: readonly [number, number]; // per surface, same order as teeth
  readonly locked: boolean;
  readonly reachableFromVisit: number;
}

/** `reduction-plan@1`. `plannedMm` includes what is held back until a re-measurement. */
export interface ReductionPlan {
  readonly schema: 'archledger/reduction-plan@1';
  readonly status: 'meets' | 'short' | 'none';
  readonly goalMm: number;
  readonly commitMm: number;
  readonly plannedMm: number;
  readonly heldBackMm: number;
  readonly shortMm: number; // goal that the limits do not allow
  readonly contacts: readonly PlanContact[];
  readonly forecast: PlanForecast;
}

export interface PlanContact {
  readonly teeth: Contact;
  readonly totalMm: number;
  readonly surfacesMm: readonly [number, number];
  readonly byVisitMm: readonly number[]; // adds up to totalMm
  readonly heldBackMm: number;
}

/** Space left at the end if the plan is carried out: positive is a gap, negative is jamming. */
export interface PlanForecast {
  readonly residualMeanMm: number;
  readonly residualSdMm: number;
  readonly chanceGap: number; // 0–1
  readonly chanceJam: number; // 0–1
}
