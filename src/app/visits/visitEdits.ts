import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { type CutEntry, type CuttingOverride, withEntry } from '../../core/visits/CutEntry.ts';
import type { ClosureSettings } from '../../core/visits/closurePlan.ts';
import type { FollowUpRecord } from '../../core/visits/FollowUpRecord.ts';

/** The record with entries added; nothing that was entered before is changed. */
export const withCuts = (record: ArchRecord, entries: readonly Omit<CutEntry, 'id'>[]): ArchRecord =>
  entries.length === 0 ? record : { ...record, visits: entries.reduce(withEntry, record.visits ?? []) };

/** The record with a follow-up scan added, or the one of the same file changed. Ordered by date and visit. */
export function withFollowUp(record: ArchRecord, followUp: FollowUpRecord): ArchRecord {
  const others = (record.followUps ?? []).filter((other) => other.scan.sha256 !== followUp.scan.sha256);
  const followUps = [...others, followUp].sort(
    (a, b) => a.afterVisit - b.afterVisit || (a.date < b.date ? -1 : a.date > b.date ? 1 : 0),
  );
  return { ...record, followUps };
}

export function withoutFollowUp(record: ArchRecord, sha256: string): ArchRecord {
  const followUps = (record.followUps ?? []).filter((followUp) => followUp.scan.sha256 !== sha256);
  if (followUps.length > 0) return { ...record, followUps };
  const { followUps: _, ...rest } = record;
  return rest;
}

export const withClosure = (record: ArchRecord, closure: ClosureSettings): ArchRecord => ({
  ...record,
  closure,
});

export const withOverride = (record: ArchRecord, override: CuttingOverride): ArchRecord => ({
  ...record,
  overrides: [...(record.overrides ?? []), override],
});
