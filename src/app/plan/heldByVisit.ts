import type { PlanContact } from '../../core/reduction/ReductionPlan.ts';

/** How much of each visit's amount is held back: what is held back lies in the last visits. Units: mm. */
export function heldByVisit(contact: PlanContact): readonly number[] {
  const held = contact.byVisitMm.map(() => 0);
  let left = contact.heldBackMm;
  for (let visit = held.length - 1; visit >= 0 && left > 1e-9; visit--) {
    held[visit] = Math.min(left, contact.byVisitMm[visit]);
    left -= held[visit];
  }
  return held;
}
