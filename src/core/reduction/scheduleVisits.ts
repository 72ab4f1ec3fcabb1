/** Steps of one contact to be spread over visits. */
export interface VisitRoom {
  readonly visits: number;
  readonly firstVisit: number; // from 1
  readonly perVisit: number; // most steps in one visit
}

/**
 * Steps per visit for one contact: what is committed as early as allowed, what is held back as late as
 * allowed, so that a re-measurement can come between them wherever the visits leave room for one.
 *
 * Shape:    whole steps; committed + held back ≤ perVisit × visits from `firstVisit` on; result has `visits` entries.
 */
export function scheduleVisits(committed: number, heldBack: number, room: VisitRoom): readonly number[] {
  const byVisit = Array.from({ length: room.visits }, () => 0);
  let left = committed;
  for (let v = room.firstVisit - 1; v < room.visits && left > 0; v++) {
    byVisit[v] = Math.min(left, room.perVisit);
    left -= byVisit[v];
  }
  let held = heldBack;
  for (let v = room.visits - 1; v >= room.firstVisit - 1 && held > 0; v--) {
    const steps = Math.min(held, room.perVisit - byVisit[v]);
    byVisit[v] += steps;
    held -= steps;
  }
  if (left + held > 0)
    throw new Error(`scheduleVisits: ${left + held} steps find no visit; need at most perVisit × visits.`);
  return byVisit;
}
