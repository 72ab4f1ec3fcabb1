import { positionOf } from '../base/tooth.ts';
import type { ArchMeasures, Estimate } from '../measure/ArchMeasures.ts';
import type { ReductionPlan, ReductionRequest } from '../reduction/ReductionPlan.ts';
import type { ContactLimits } from '../reduction/reductionRequest.ts';
import { type Balance, balance, type FollowUpKnown } from '../visits/balance.ts';
import { CLOSURE_DEFAULTS, type ClosurePlan, closurePlan, type FreeSpace } from '../visits/closurePlan.ts';
import type { FollowUpRecord } from '../visits/FollowUpRecord.ts';
import { separationsLeft } from '../visits/separationsLeft.ts';
import { type ArchAccount, archAccount, recordMeasures } from './archAccount.ts';
import type { ArchRecord } from './CaseDocument.ts';

/** What was agreed for an arch: the plan in force with the request and limits it keeps. */
export interface AgreedPlan {
  readonly request: ReductionRequest;
  readonly plan: ReductionPlan;
  readonly limits: readonly ContactLimits[];
}

/** A follow-up scan with its own account, measured by its marks like the first scan. */
export interface FollowUpAccount {
  readonly record: FollowUpRecord;
  readonly account: ArchAccount | null; // null while it is not marked
  readonly shortage: Estimate | null;
  readonly bySeparations: Estimate | null;
  readonly whyNotBySeparations: string | null;
}

/** Visits and follow-up scans of an arch, balanced. */
export interface VisitAccount {
  readonly followUps: readonly FollowUpAccount[];
  readonly balance: Balance;
  /** Space free at each contact as it was seen last, and where it was seen. */
  readonly spaces: readonly FreeSpace[];
  readonly spacesFrom: 'follow-up' | 'first-scan';
  readonly closure: ClosurePlan;
}

/** A follow-up's arch as a record of its own: the chart and every setting stay, scan, frame and marks are the later ones. */
export const followUpArch = (record: ArchRecord, followUp: FollowUpRecord): ArchRecord => ({
  ...record,
  scan: followUp.scan,
  medianEdgeMm: followUp.medianEdgeMm,
  frame: followUp.frame,
  readings: [{ observer: '', repeat: 1, marks: followUp.marks }],
  activeReading: 0,
  plan: { ...record.plan, neededMm: null },
});

/**
 * The account of a follow-up scan, by its own marks. Units: mm. Refuses: as `measureArch`.
 * Shape: `measures` may be handed over where they are known.
 */
export function followUpAccount(
  record: ArchRecord,
  followUp: FollowUpRecord,
  opposing: ArchMeasures | null = null,
): FollowUpAccount {
  const arch = followUpArch(record, followUp);
  const account =
    followUp.marks.length > 0 ? archAccount(arch, recordMeasures(arch, undefined, []), opposing) : null;
  const ledger = account?.ledger ?? null;
  const shortage =
    ledger && ledger.differenceMm !== null ? { valueMm: -ledger.differenceMm, sdMm: ledger.sdMm ?? 0 } : null;
  const between = (followUp.measure?.contacts ?? [])
    .map(({ teeth }) => teeth)
    .filter((teeth) => teeth.every((tooth) => positionOf(tooth) <= 6));
  const left = followUp.measure
    ? separationsLeft(followUp.measure, account?.measures ?? null, between)
    : { shortage: null, why: 'the scans were not compared' };
  return {
    record: followUp,
    account,
    shortage,
    bySeparations: left.shortage,
    whyNotBySeparations: left.why,
  };
}

/**
 * Everything the visits of an arch come to: follow-ups with their accounts, the balance with its verdict, what is
 * open where, and how the rest would be closed. Screen and print both take it, so they show the same.
 *
 * Units:    mm.
 * Refuses:  as `planReduction`.
 * Accuracy: the same marks on a later scan give the first account — tests/core/casefile/visitAccount.test.ts.
 */
export function visitAccount(
  record: ArchRecord,
  agreed: AgreedPlan,
  followUps: readonly FollowUpAccount[],
  measures: ArchMeasures,
): VisitAccount {
  const last = followUps.at(-1) ?? null;
  const measure = last?.record.measure ?? null;
  const known: FollowUpKnown | null =
    last && measure
      ? {
          measure,
          afterVisit: last.record.afterVisit,
          shortage: last.shortage,
          bySeparations: last.bySeparations,
        }
      : null;
  const found = balance({
    ...agreed,
    entries: record.visits ?? [],
    followUp: known,
    followUps: followUps.length,
    overrides: record.overrides ?? [],
  });
  const inPlan = new Set(agreed.request.contacts.map(({ teeth }) => teeth.join('-')));
  const seen: readonly FreeSpace[] = measure
    ? measure.contacts.map(({ teeth, separationAfter }) => ({ teeth, separation: separationAfter }))
    : measures.contacts;
  const spaces = seen.filter(({ teeth }) => inPlan.has(teeth.join('-')));
  const excess = { valueMm: -found.needed.valueMm, sdMm: found.needed.sdMm };
  return {
    followUps,
    balance: found,
    spaces,
    spacesFrom: measure ? 'follow-up' : 'first-scan',
    closure: closurePlan(excess, spaces, record.closure ?? CLOSURE_DEFAULTS),
  };
}
