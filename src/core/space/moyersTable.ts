import { normalQuantile } from '../base/normalDistribution.ts';
import type { Source } from '../base/Source.ts';
import type { Jaw } from '../base/tooth.ts';
import type { MoyersPercentile } from './Ledger.ts';

/**
 * Moyers probability table, both sexes together: sum of the widths of canine and both premolars of one side, mm,
 * from the sum of the four lower incisors.
 * Source: Moyers RE, Handbook of Orthodontics; two copies that agree where they overlap. Rows from
 * 25.5 mm on stand in one copy of the 75 % level only; some copies print 24.3 for 26.5 and 24.6 for
 * 27.0 in the lower jaw (from memory, unverified).
 */
export const MOYERS_SOURCE: Source = {
  standing: 'secondary',
  text: 'Moyers RE, Handbook of Orthodontics, probability table, both sexes; two agreeing copies',
};

type Row = readonly [incisorsMm: number, upperMm: number, lowerMm: number];

const LEVEL_75: readonly Row[] = [
  [19.5, 20.6, 20.1],
  [20.0, 20.9, 20.4],
  [20.5, 21.2, 20.7],
  [21.0, 21.5, 21.0],
  [21.5, 21.8, 21.3],
  [22.0, 22.0, 21.6],
  [23.0, 22.6, 22.2],
  [23.5, 22.9, 22.5],
  [24.0, 23.1, 22.8],
  [24.5, 23.4, 23.1],
  [25.0, 23.7, 23.4],
  [25.5, 24.0, 23.7],
  [26.0, 24.2, 24.0],
  [27.0, 24.8, 24.5],
  [27.5, 25.0, 24.8],
  [28.0, 25.3, 25.1],
  [28.5, 25.6, 25.4],
  [29.0, 25.9, 25.7],
];

const FIRST_MM = 19.5;
const STEP_MM = 0.5;
const level = (upper: readonly number[], lower: readonly number[]): readonly Row[] =>
  upper.map((value, i) => [FIRST_MM + i * STEP_MM, value, lower[i]] as const);

/** Rows by percentile; each level has its own range of incisor sums. */
export const MOYERS_TABLE: Readonly<Record<MoyersPercentile, readonly Row[]>> = {
  95: level(
    [21.6, 21.8, 22.1, 22.4, 22.7, 22.9, 23.2, 23.5, 23.8, 24.0, 24.3, 24.6],
    [21.1, 21.4, 21.7, 22.0, 22.3, 22.6, 22.9, 23.2, 23.5, 23.8, 24.1, 24.4],
  ),
  75: LEVEL_75,
  65: level(
    [20.4, 20.6, 20.9, 21.2, 21.5, 21.8, 22.0, 22.3, 22.6, 22.8, 23.1, 23.4],
    [19.8, 20.1, 20.4, 20.7, 21.0, 21.3, 21.6, 21.9, 22.2, 22.5, 22.8, 23.1],
  ),
  50: level(
    [20.0, 20.3, 20.6, 20.8, 21.1, 21.4, 21.7, 21.9, 22.2, 22.5, 22.8, 23.0],
    [19.4, 19.7, 20.0, 20.3, 20.6, 20.9, 21.2, 21.5, 21.8, 22.1, 22.4, 22.7],
  ),
  25: level(
    [19.4, 19.7, 19.9, 20.2, 20.5, 20.8, 21.0, 21.3, 21.6, 21.9, 22.1, 22.4],
    [18.7, 19.0, 19.3, 19.6, 19.9, 20.2, 20.5, 20.8, 21.1, 21.4, 21.7, 22.0],
  ),
  15: level(
    [19.0, 19.3, 19.6, 19.9, 20.2, 20.4, 20.7, 21.0, 21.3, 21.5, 21.8, 22.1],
    [18.4, 18.7, 19.0, 19.3, 19.6, 19.8, 20.1, 20.4, 20.7, 21.0, 21.3, 21.6],
  ),
  5: level(
    [18.5, 18.8, 19.0, 19.3, 19.6, 19.9, 20.1, 20.4, 20.7, 21.0, 21.2, 21.5],
    [17.7, 18.0, 18.3, 18.6, 18.9, 19.2, 19.5, 19.8, 20.1, 20.4, 20.7, 21.0],
  ),
};

export const MOYERS_PERCENTILES: readonly MoyersPercentile[] = [5, 15, 25, 50, 65, 75, 95];

/** The printed levels around a percentile: the level itself, or the two it lies between and how far. */
function levelsAround(
  percentile: number,
): readonly { readonly level: MoyersPercentile; readonly share: number }[] {
  const above = MOYERS_PERCENTILES.findIndex((level) => level >= percentile);
  if (above < 0 || !(percentile >= MOYERS_PERCENTILES[0])) return [];
  const high = MOYERS_PERCENTILES[above];
  if (high === percentile) return [{ level: high, share: 1 }];
  const low = MOYERS_PERCENTILES[above - 1];
  const z = (level: number): number => normalQuantile(level / 100);
  const share = (z(percentile) - z(low)) / (z(high) - z(low));
  return [
    { level: low, share: 1 - share },
    { level: high, share },
  ];
}

/** Range of lower incisor sums covered at a percentile, mm; empty (low above high) outside 5 to 95 %. */
export function moyersRangeMm(percentile: number): readonly [number, number] {
  const ranges = levelsAround(percentile).map(({ level }) => {
    const rows = MOYERS_TABLE[level];
    return [rows[0][0], rows[rows.length - 1][0]];
  });
  if (ranges.length === 0) return [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  return [Math.max(...ranges.map(([low]) => low)), Math.min(...ranges.map(([, high]) => high))];
}

/**
 * Width sum of canine and premolars of one side from the table; null outside it. Straight between its rows, and
 * between its levels straight in the quantile of the normal distribution, which is how its levels are spaced.
 * Units: mm in, mm out; percentile 5 to 95; `slope` is mm per mm of incisor sum.
 */
export function moyersSumMm(
  incisorsMm: number,
  jaw: Jaw,
  percentile: number,
): { readonly sumMm: number; readonly slope: number } | null {
  const levels = levelsAround(percentile);
  const found = levels.map(({ level }) => sumAtLevel(incisorsMm, jaw, level));
  if (levels.length === 0 || found.some((at) => at === null)) return null;
  const mix = (of: 'sumMm' | 'slope'): number =>
    levels.reduce((sum, { share }, i) => sum + share * found[i]![of], 0);
  return { sumMm: mix('sumMm'), slope: mix('slope') };
}

function sumAtLevel(
  incisorsMm: number,
  jaw: Jaw,
  level: MoyersPercentile,
): { readonly sumMm: number; readonly slope: number } | null {
  const rows = MOYERS_TABLE[level];
  const [low, high] = moyersRangeMm(level);
  if (!(incisorsMm >= low - 1e-9 && incisorsMm <= high + 1e-9)) return null;
  const column = jaw === 'upper' ? 1 : 2;
  const next = Math.max(
    1,
    rows.findIndex((row) => row[0] >= incisorsMm - 1e-9),
  );
  const [before, after] = [rows[next - 1], rows[next]];
  const slope = (after[column] - before[column]) / (after[0] - before[0]);
  return { sumMm: before[column] + slope * (incisorsMm - before[0]), slope };
}
