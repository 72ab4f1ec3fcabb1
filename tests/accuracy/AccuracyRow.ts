/** One line of the accuracy table: what was measured on what, how far off it was, and what is promised. */
export interface AccuracyRow {
  readonly what: string;
  readonly surface: 'synthetic' | 'real' | 'none'; // none: no surface in it, figures against figures
  readonly on: string;
  readonly n: number;
  readonly typical: string; // RMS unless it says otherwise, with unit
  readonly worst: string;
  readonly bound: string; // what a test holds it to; '–' where none is promised
  readonly holds: boolean; // the figures above are within the bound
  readonly test: string; // path from the root
}

/** Rows that are measured together. */
export interface AccuracyGroup {
  readonly name: string;
  readonly rows: (progress: (line: string) => void) => Promise<readonly AccuracyRow[]>;
}

export const rms = (errors: readonly number[]): number =>
  Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);

export const worst = (errors: readonly number[]): number => Math.max(...errors.map(Math.abs));

interface ErrorRow {
  readonly what: string;
  readonly surface: AccuracyRow['surface'];
  readonly on: string;
  readonly errors: readonly number[];
  readonly unit?: 'mm' | '°'; // mm by default
  readonly digits?: number; // 2 by default
  readonly rmsBound?: number;
  readonly worstBound?: number;
  readonly test: string;
}

/** A row of errors against truth; a figure that could not be had is a fault of the experiment. */
export function errorRow(row: ErrorRow): AccuracyRow {
  const { what, surface, on, errors, unit = 'mm', digits = 2, rmsBound, worstBound, test } = row;
  if (errors.length === 0 || !errors.every(Number.isFinite))
    throw new Error(`errorRow: ${what} on ${on} has ${errors.length} errors, not all of them numbers.`);
  const gap = unit === '°' ? '' : ' ';
  const bounds = [
    ...(rmsBound === undefined ? [] : [`RMS ${rmsBound}${gap}${unit}`]),
    ...(worstBound === undefined ? [] : [`worst ${worstBound}${gap}${unit}`]),
  ];
  return {
    what,
    surface,
    on,
    n: errors.length,
    typical: `${sized(rms(errors), digits)}${gap}${unit}`,
    worst: `${sized(worst(errors), digits)}${gap}${unit}`,
    bound: bounds.join(', ') || '–',
    holds: rms(errors) <= (rmsBound ?? Infinity) && worst(errors) <= (worstBound ?? Infinity),
    test,
  };
}

/** Fixed digits; what would round to nothing is given by its power of ten. */
function sized(value: number, digits: number): string {
  if (value === 0 || value >= 0.5 * 10 ** -digits) return value.toFixed(digits);
  return `< 1e${Math.ceil(Math.log10(value))}`;
}
