import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { followUpArch } from '../../core/casefile/visitAccount.ts';
import type { FollowUpRecord } from '../../core/visits/FollowUpRecord.ts';
import { activeMarks } from './archEdits.ts';

/** A later scan that stands in the 3D view in place of the first one of its arch. */
export interface LaterScan {
  readonly jaw: Jaw;
  readonly sha256: string;
}

/** The follow-up a record is looked at by; null where its first scan is on show. */
export const followUpOnShow = (record: ArchRecord, later: LaterScan | null): FollowUpRecord | null =>
  (later?.jaw === record.jaw && record.followUps?.find(({ scan }) => scan.sha256 === later.sha256)) || null;

const made = new WeakMap<FollowUpRecord, { readonly record: ArchRecord; readonly arch: ArchRecord }>();

/** The arch on show: the record, or its later scan as a record of its own; the same object while neither changes. */
export function shownArch(record: ArchRecord, later: LaterScan | null): ArchRecord {
  const followUp = followUpOnShow(record, later);
  if (!followUp) return record;
  const known = made.get(followUp);
  if (known?.record === record) return known.arch;
  const arch = followUpArch(record, followUp);
  made.set(followUp, { record, arch });
  return arch;
}

/** The record with the marks of the arch on show changed: its own, or those of the later scan. */
export function withShownMarks(
  record: ArchRecord,
  later: LaterScan | null,
  change: (arch: ArchRecord) => ArchRecord,
): ArchRecord {
  const followUp = followUpOnShow(record, later);
  if (!followUp) return change(record);
  const before = shownArch(record, later);
  const marks = activeMarks(change(before));
  if (marks === activeMarks(before)) return record;
  return {
    ...record,
    followUps: record.followUps?.map((other) => (other === followUp ? { ...other, marks } : other)) ?? [],
  };
}
