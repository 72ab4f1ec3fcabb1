import type { Source } from '../base/Source.ts';
import { isRight, type Jaw, jawOf, positionOf, quadrantOf, type Tooth } from '../base/tooth.ts';

/** A published mean mesiodistal width, mm; `sdMm` null where the source gives none. */
export interface PublishedWidth {
  readonly meanMm: number;
  readonly sdMm: number | null;
}

export interface WidthTable {
  readonly id: 'moorrees-men' | 'moorrees-women' | 'handbook' | 'black';
  readonly source: Source;
  readonly upper: readonly PublishedWidth[]; // positions 1, 2, … from the midline
  readonly lower: readonly PublishedWidth[];
}

const withSd = (pairs: readonly (readonly [number, number])[]): PublishedWidth[] =>
  pairs.map(([meanMm, sdMm]) => ({ meanMm, sdMm }));
const meansOnly = (means: readonly number[]): PublishedWidth[] =>
  means.map((meanMm) => ({ meanMm, sdMm: null }));

const moorrees = (who: string): Source => ({
  standing: 'memory',
  text: `Moorrees CFA et al., J Dent Res 1957;36:39–47 (North American white ${who}); from memory, unverified, second molars least sure`,
});

/**
 * Published mean mesiodistal crown widths of permanent teeth, mm.
 *
 * Source: each table carries its own with its standing. Handbook figures are carving averages; a table of
 * another edition has 6.5 for the upper second premolar.
 */
export const WIDTH_TABLES: readonly WidthTable[] = [
  {
    id: 'moorrees-men',
    source: moorrees('men'),
    upper: withSd([
      [8.78, 0.46],
      [6.64, 0.63],
      [7.95, 0.42],
      [7.01, 0.38],
      [6.82, 0.37],
      [10.81, 0.56],
      [10.35, 0.63],
    ]),
    lower: withSd([
      [5.42, 0.32],
      [5.95, 0.36],
      [6.96, 0.35],
      [7.07, 0.35],
      [7.29, 0.45],
      [11.18, 0.58],
      [10.76, 0.71],
    ]),
  },
  {
    id: 'moorrees-women',
    source: moorrees('women'),
    upper: withSd([
      [8.4, 0.53],
      [6.47, 0.62],
      [7.53, 0.37],
      [6.85, 0.37],
      [6.62, 0.42],
      [10.52, 0.51],
      [9.81, 0.49],
    ]),
    lower: withSd([
      [5.25, 0.32],
      [5.78, 0.37],
      [6.47, 0.33],
      [6.87, 0.38],
      [7.02, 0.45],
      [10.74, 0.54],
      [10.34, 0.63],
    ]),
  },
  {
    id: 'handbook',
    source: {
      standing: 'secondary',
      text: 'Ash MM, Nelson SJ, Wheeler’s Dental Anatomy, 9th edition, as quoted in public code; lower third molar from memory',
    },
    upper: meansOnly([8.5, 6.5, 7.5, 7, 7, 10, 9, 8.5]),
    lower: meansOnly([5, 5.5, 7, 7, 7, 11, 10.5, 10]),
  },
  {
    id: 'black',
    source: {
      standing: 'memory',
      text: 'Black GV, Descriptive Anatomy of the Human Teeth, 1902; from memory, unverified',
    },
    upper: meansOnly([9, 6.4, 7.6, 7.2, 6.8, 10.7, 9.2]),
    lower: meansOnly([5.4, 5.9, 6.9, 6.9, 7.1, 11.2, 10.7]),
  },
];

/** The published width of a permanent tooth in one table, or null. */
export function publishedWidth(table: WidthTable, tooth: Tooth): PublishedWidth | null {
  if (quadrantOf(tooth) > 4) return null;
  return table[jawOf(tooth)][positionOf(tooth) - 1] ?? null;
}

/**
 * Range outside which a width is flagged: mean ± 3 SD, the wider of the tables that give an SD (men and
 * women), mm; null for primary teeth and third molars.
 */
export function usualRangeMm(tooth: Tooth): readonly [number, number] | null {
  const known = WIDTH_TABLES.map((table) => publishedWidth(table, tooth)).flatMap((width) =>
    width && width.sdMm !== null ? [[width.meanMm - 3 * width.sdMm, width.meanMm + 3 * width.sdMm]] : [],
  );
  if (known.length === 0) return null;
  return [Math.min(...known.map((k) => k[0])), Math.max(...known.map((k) => k[1]))];
}

/** The tooth of the same name on the other side, e.g. 13 for 23. */
export function antimere(tooth: Tooth): Tooth {
  const jaw: Jaw = jawOf(tooth);
  const primary = quadrantOf(tooth) > 4;
  const right = (jaw === 'upper' ? 1 : 4) + (primary ? 4 : 0);
  const left = (jaw === 'upper' ? 2 : 3) + (primary ? 4 : 0);
  return (isRight(tooth) ? left : right) * 10 + positionOf(tooth);
}
