import { normalProbability } from '../base/normalDistribution.ts';
import type { Source } from '../base/Source.ts';

export interface SeverityBand {
  readonly grade: string;
  readonly fromMm: number; // shortage, lower end
  readonly toMm: number; // upper end
}

/** Bands of one source; shortages between two of its bands are graded by none. */
export interface SeverityScale {
  readonly id: string;
  readonly bands: readonly SeverityBand[]; // both ends belong to a band
  readonly source: Source;
  readonly note: string | null;
}

const MM = 1e-9;

export const SEVERITY_SCALES: readonly SeverityScale[] = [
  {
    id: 'four-eight',
    bands: [
      { grade: 'mild', fromMm: 0, toMm: 4 - MM },
      { grade: 'moderate', fromMm: 4, toMm: 8 },
      { grade: 'severe', fromMm: 8 + MM, toMm: Number.POSITIVE_INFINITY },
    ],
    source: {
      standing: 'secondary',
      text: 'Mitchell; Cobourne MT, DiBiase AT 2010; Kirschen RH et al. 2000 (mild < 4, moderate 4–8, severe > 8 mm)',
    },
    note: null,
  },
  {
    id: 'three-six-nine',
    bands: [
      { grade: 'mild', fromMm: 0, toMm: 3 },
      { grade: 'moderate', fromMm: 4, toMm: 6 },
      { grade: 'severe', fromMm: 7, toMm: Number.POSITIVE_INFINITY },
    ],
    source: {
      standing: 'memory',
      text: 'other textbooks (mild ≤ 3, moderate 4–6, severe ≥ 7–9 mm); from memory, unverified',
    },
    note: 'whole millimetres; what lies between two bands is not assigned',
  },
  {
    id: 'proffit',
    bands: [
      { grade: 'extraction rarely indicated', fromMm: 0, toMm: 4 - MM },
      { grade: 'with or without extraction', fromMm: 5, toMm: 9 },
      { grade: 'extraction almost always', fromMm: 10, toMm: Number.POSITIVE_INFINITY },
    ],
    source: { standing: 'memory', text: 'Proffit WR, Contemporary Orthodontics; from memory, unverified' },
    note: 'a textbook’s guide, no recommendation; what lies between two bands is not assigned',
  },
];

/**
 * Grade of a shortage on every scale, null where a scale assigns none. Not a shortage (0 or less): no grades.
 * Units: mm of shortage, positive.
 */
export function severityGrades(
  shortageMm: number,
): readonly { readonly scale: SeverityScale; readonly grade: string | null }[] {
  if (!(shortageMm > 0)) return [];
  return SEVERITY_SCALES.map((scale) => ({
    scale,
    grade: scale.bands.find((band) => shortageMm >= band.fromMm && shortageMm <= band.toMm)?.grade ?? null,
  }));
}

/**
 * Chance that the true shortage lies in each band of a scale, given the SD it was measured with; `none` is the chance
 * of no shortage, `between` that of lying between two bands.
 * Units: mm; chances 0–1, adding up to 1 with `none` and `between`.
 */
export function severityChances(
  scale: SeverityScale,
  shortageMm: number,
  sdMm: number,
): { readonly bands: readonly number[]; readonly none: number; readonly between: number } {
  const below = (x: number): number =>
    x === Number.POSITIVE_INFINITY
      ? 1
      : sdMm > 0
        ? normalProbability((x - shortageMm) / sdMm)
        : shortageMm <= x
          ? 1
          : 0;
  const none = below(0);
  const bands = scale.bands.map(({ fromMm, toMm }, i) => below(toMm) - (i === 0 ? none : below(fromMm - MM)));
  const between = Math.max(0, 1 - none - bands.reduce((sum, chance) => sum + chance, 0));
  return { bands, none, between };
}
