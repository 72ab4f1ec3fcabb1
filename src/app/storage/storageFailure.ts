import { Refusal } from '../../core/base/refusal.ts';

type FailureReason = 'quota' | 'stale' | 'lost' | 'newer' | 'blocked' | 'unavailable' | 'failed';

const ADVICE: Readonly<Record<FailureReason, string>> = {
  quota: 'Delete cases you no longer need, or free space on this device, then save again.',
  stale: 'Save this work to a file, then open the case again.',
  lost: 'Save the case to a file, then reload the page.',
  newer: 'Reload the page to get the newer version.',
  blocked: 'Close the other tabs, then try again.',
  unavailable: 'Save the case to a file; leave private browsing to have it kept here.',
  failed: 'Save the case to a file, then reload the page.',
};

/** The browser could not keep something; what was asked of it is untouched, and the message says what to do. */
export function failed(
  reason: FailureReason,
  got: string,
  detail: Readonly<Record<string, unknown>> = {},
): Refusal {
  return new Refusal(
    'storage-failed',
    `caseStore: nothing was stored; got: ${got}, need storage that works. Your work is still open in this tab. ${ADVICE[reason]}`,
    { reason, ...detail },
  );
}

/** Another tab was there first. */
export const stale = (id: string, seen: number | null, found: number | null): Refusal =>
  failed(
    'stale',
    found === null
      ? 'the case was deleted in another tab'
      : seen === null
        ? `a case of the same origin is already kept here (revision ${found})`
        : `another tab saved the case since (revision ${found}, this tab knows ${seen})`,
    { id, seen, revision: found },
  );

/** A browser's own error as the refusal it amounts to. */
export function asRefusal(error: unknown): Refusal {
  if (error instanceof Refusal) return error;
  const name = error instanceof Error ? error.name : '';
  const text = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  if (name === 'QuotaExceededError') return failed('quota', 'the space the browser grants is used up');
  if (name === 'VersionError') return failed('newer', 'a newer version of Archledger made this storage');
  if (name === 'InvalidStateError') return failed('lost', `the connection is closed (${text})`);
  return failed('failed', text);
}
