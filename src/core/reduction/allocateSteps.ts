/** Contacts to share steps over, in order of preference. Whole steps. */
export interface StepBounds {
  readonly capacities: readonly number[]; // what a share is measured against
  readonly bounds: readonly number[]; // never more than this, bound ≤ capacity
}

/**
 * Shares `total` steps over contacts: least worst share (steps ÷ capacity) first, then least sum of
 * steps² ÷ capacity, then as much as possible to the contacts listed first.
 *
 * Shape:    whole numbers; `total` ≤ sum of bounds; same order out.
 * Accuracy: equal to full enumeration on 600 random cases — tests/core/reduction/bruteForce.test.ts.
 * Method:   the least worst share is one of the finitely many ratios steps ÷ capacity, found by bisection.
 *           Under it every contact's next step costs (2·steps + 1) ÷ capacity, which only grows, so taking
 *           the cheapest next step each time is optimal (separable convex, Gross 1956). Ratios are compared
 *           by cross-multiplying whole numbers: no rounding decides a tie.
 */
export function allocateSteps(total: number, { capacities, bounds }: StepBounds): readonly number[] {
  const limits = underWorstShare(total, capacities, bounds);
  const steps = capacities.map(() => 0);
  for (let given = 0; given < total; given++) {
    let cheapest = -1;
    for (let i = 0; i < steps.length; i++) {
      if (steps[i] >= limits[i]) continue;
      const cheaper =
        cheapest < 0 || (2 * steps[i] + 1) * capacities[cheapest] < (2 * steps[cheapest] + 1) * capacities[i];
      if (cheaper) cheapest = i;
    }
    if (cheapest < 0)
      throw new Error(`allocateSteps: got ${total} steps, need at most the sum of the bounds.`);
    steps[cheapest]++;
  }
  return steps;
}

/** The bounds lowered to the least worst share that still holds `total` steps. */
function underWorstShare(
  total: number,
  capacities: readonly number[],
  bounds: readonly number[],
): readonly number[] {
  const ratios = capacities.flatMap((capacity, i) =>
    Array.from({ length: bounds[i] }, (_, k) => ({ steps: k + 1, capacity })),
  );
  ratios.sort((a, b) => a.steps * b.capacity - b.steps * a.capacity);
  const boundsAt = (ratio: { steps: number; capacity: number }): number[] =>
    bounds.map((bound, i) => Math.min(bound, Math.floor((ratio.steps * capacities[i]) / ratio.capacity)));
  let low = 0;
  let high = ratios.length - 1;
  if (total === 0 || high < 0) return bounds;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (sum(boundsAt(ratios[middle])) >= total) high = middle;
    else low = middle + 1;
  }
  return boundsAt(ratios[high]);
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
