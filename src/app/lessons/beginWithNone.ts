import type { Contact } from '../../core/base/tooth.ts';
import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';

/** Every contact of a request at 0, handed over as the plan from which own tenths begin. */
export function beginWithNone(
  request: { readonly contacts: readonly { readonly teeth: Contact }[] },
  begin: (plan: Pick<ReductionPlan, 'contacts'>, first: Contact) => void,
): void {
  const contacts = request.contacts.map(({ teeth }) => ({
    teeth,
    totalMm: 0,
    surfacesMm: [0, 0] as const,
    byVisitMm: [],
    heldBackMm: 0,
  }));
  if (contacts.length > 0) begin({ contacts }, contacts[0].teeth);
}
