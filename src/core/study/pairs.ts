import { Refusal } from '../base/refusal.ts';

/** Lower and upper end; 95 % unless said otherwise. */
export type Interval = readonly [number, number];

/** A figure with its interval; `ci` is null where it cannot be had. */
export interface FigureEstimate {
  readonly value: number;
  readonly ci: Interval | null;
}

/** Level of every interval. */
const CONFIDENCE = 0.95;
export const UPPER_TAIL = 1 - (1 - CONFIDENCE) / 2;

const LARGEST = 1e100; // squares of larger numbers, and sums of them, leave what a double can hold
const ROUNDING_RATIO = 1e-12; // differences this small beside the values are rounding, not spread

/**
 * Two columns of equal length, every value a finite number.
 * Refuses: 'too-few-pairs', 'number-invalid' (NaN, infinite, beyond 1e100).
 */
export function checkPairs(where: string, a: readonly number[], b: readonly number[], need: number): void {
  if (a.length !== b.length) throw new Error(`${where}: got columns of ${a.length} and ${b.length} values.`);
  checkValues(where, a);
  checkValues(where, b);
  if (a.length < need)
    throw new Refusal(
      'too-few-pairs',
      `${where}: too few pairs; got ${a.length}, need at least ${need}. Add measurements.`,
      { n: a.length, need },
    );
}

/** Refuses: 'number-invalid'. */
export function checkValues(where: string, values: readonly number[]): void {
  const at = values.findIndex((value) => !(Math.abs(value) <= LARGEST));
  if (at >= 0)
    throw new Refusal(
      'number-invalid',
      `${where}: value ${at + 1} is no number that can be reckoned with; got ${values[at]}, need a finite number up to 1e100. Correct it or leave it out.`,
      { index: at },
    );
}

/** True where the values differ by no more than rounding beside `scale`, the largest value they came from. */
export function isConstant(values: readonly number[], scale = 0): boolean {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return !(high - low > ROUNDING_RATIO * scale);
}

export const largestOf = (...columns: readonly (readonly number[])[]): number =>
  columns.reduce((largest, column) => column.reduce((m, v) => Math.max(m, Math.abs(v)), largest), 0);

export const noVariation = (where: string, what: string): Refusal =>
  new Refusal(
    'no-variation',
    `${where}: ${what}; got no variation, need values that differ. Measure objects of different size.`,
  );

/** Refuses 'no-variation' where a column is one value throughout. */
export function checkVaries(where: string, a: readonly number[], b: readonly number[]): void {
  if (isConstant(a)) throw noVariation(where, 'the first column is one value throughout');
  if (isConstant(b)) throw noVariation(where, 'the second column is one value throughout');
}
