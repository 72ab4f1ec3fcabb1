/** Room for the rounding of decimal fractions (0.3 / 0.1 is 2.9999…96), as a part of one step. */
const STEP_TOLERANCE = 1e-9;

/**
 * How many whole steps fit into a length; negative lengths give 0. Two lengths that differ by less than
 * a billionth of a step count as equal, so that 0.3 mm holds three steps of 0.1 mm.
 */
export const stepsWithin = (lengthMm: number, stepMm: number): number =>
  Math.max(0, Math.floor(lengthMm / stepMm + STEP_TOLERANCE));

/** A count of steps as mm, without the last digits of binary fractions (3 × 0.1 is 0.3). */
export const stepsToMm = (steps: number, stepMm: number): number => tidyMm(steps * stepMm);

/** A length rounded to a billionth of a mm, so that sums of decimals print as decimals; never −0. */
export const tidyMm = (lengthMm: number): number => Math.round(lengthMm * 1e9) / 1e9 + 0;
