import type { Source } from '../base/Source.ts';
import { jawOf, positionOf, type Tooth } from '../base/tooth.ts';

export type Surface = 'mesial' | 'distal';

/** Published mean thickness of proximal enamel at one surface, mm. */
export interface EnamelThickness {
  readonly meanMm: number;
  readonly sdMm: number | null; // between people; null where the source gives none
  readonly source: Source;
  readonly note: string | null;
}

const published = (text: string): Source => ({ standing: 'published', text });
const VELLINI = published('Vellini-Ferreira F et al., Braz J Oral Sci 2012;11(4), sections');
const MUNHOZ = published('Munhoz LO et al., Braz J Oral Sci 2012;11(1), 40 teeth');
const GONZALEZ = published(
  'González-García E et al., Clin Exp Dent Res 2025, doi 10.1002/cre2.70083, cone-beam CT',
);
const SARIG = published('Sarig R et al., Am J Orthod Dentofacial Orthop 2015;147:435–444');
const HARRIS: Source = {
  standing: 'computed',
  text: 'distal value less 0.1 mm (Harris EF, Hicks JD, Arch Oral Biol 1998;43:825–831: distal thicker by 0.1)',
};
const NEIGHBOUR: Source = {
  standing: 'computed',
  text: 'value of the next surface toward the midline, as enamel grows thicker distally (Sarig R et al. 2015)',
};
const LOWER_END = 'lower end of the range printed for a group of surfaces';

const row = (
  meanMm: number,
  sdMm: number | null,
  source: Source,
  note: string | null = null,
): EnamelThickness => ({
  meanMm,
  sdMm,
  source,
  note,
});

type Pair = readonly [mesial: EnamelThickness, distal: EnamelThickness];
const FIRST_MOLAR = row(1.48, null, SARIG, 'cone-beam CT finds less: at most 1.29 mm (González-García 2025)');
const SECOND_MOLAR = row(1.48, null, NEIGHBOUR);

/** By position from the midline, 1–7. A third molar is given the second molar's value. */
const UPPER: readonly Pair[] = [
  [row(0.902, null, HARRIS), row(1.002, null, VELLINI, LOWER_END)],
  [row(0.902, null, HARRIS), row(1.002, null, VELLINI, LOWER_END)],
  [row(1.18, 0.24, GONZALEZ), row(1.25, 0.28, GONZALEZ, 'cone-beam CT may show thin enamel too thick')],
  [row(1.22, 0.17, MUNHOZ), row(1.28, 0.19, MUNHOZ, 'right side; left 1.39 (0.17)')],
  [row(1.22, null, NEIGHBOUR, 'as the first premolar'), row(1.28, null, NEIGHBOUR, 'as the first premolar')],
  [FIRST_MOLAR, FIRST_MOLAR],
  [SECOND_MOLAR, SECOND_MOLAR],
];

const LOWER: readonly Pair[] = [
  [row(0.675, 0.144, VELLINI, 'the thinnest of all'), row(0.872, null, VELLINI, LOWER_END)],
  [row(0.734, null, VELLINI, LOWER_END), row(0.872, null, VELLINI, LOWER_END)],
  [row(0.734, null, VELLINI, LOWER_END), row(1.002, null, VELLINI, LOWER_END)],
  [
    row(1.002, null, NEIGHBOUR, 'as the canine’s distal surface'),
    row(1.002, null, NEIGHBOUR, 'as the canine’s distal surface'),
  ],
  [row(1.376, 0.198, VELLINI), row(1.45, 0.172, VELLINI)],
  [FIRST_MOLAR, FIRST_MOLAR],
  [SECOND_MOLAR, SECOND_MOLAR],
];

/** Largest part of a surface's enamel that may be taken in all. */
export const ENAMEL_SHARE = 0.5;
export const ENAMEL_SHARE_SOURCE: Source = {
  standing: 'memory',
  text: 'half of the proximal enamel: Sheridan JJ, J Clin Orthod 1985;19:43–59 and 1997;31:609–612; Lapenaite E, Lopatiene K, Stomatologija 2014;16:19–24; from memory, unverified',
};

/** Default limit of a contact, mm; common practice, no source. */
export const DEFAULT_CONTACT_LIMIT_MM = 0.5;
export const DEFAULT_CONTACT_LIMIT_SOURCE: Source = {
  standing: 'practice',
  text: '0.5 mm per contact; common practice, no source',
};

/** Published mean enamel thickness of a permanent tooth's surface; null for a primary tooth. Units: mm. */
export function enamelThickness(tooth: Tooth, surface: Surface): EnamelThickness | null {
  if (tooth >= 50) return null;
  const rows = jawOf(tooth) === 'upper' ? UPPER : LOWER;
  return rows[Math.min(positionOf(tooth), rows.length) - 1][surface === 'mesial' ? 0 : 1];
}

/** Thickest enamel a radiograph may be said to show; nobody has published a proximal surface near it. */
export const RADIOGRAPH_MAX_MM = 3;

/**
 * Default limit of a surface: half the published mean thickness, less what earlier treatment took; not below 0,
 * and 0 for a primary tooth. A thickness read on a radiograph takes the place of the mean: it is meant untouched, so
 * that one read after an earlier reduction gives less than the rule, never more. Individuals differ: see `sdMm`.
 * Units: mm in, mm out.
 */
export function defaultSurfaceLimitMm(
  tooth: Tooth,
  surface: Surface,
  earlierReductionMm = 0,
  radiographMm: number | null = null,
): number {
  const thicknessMm = radiographMm ?? enamelThickness(tooth, surface)?.meanMm ?? 0;
  return Math.max(0, thicknessMm * ENAMEL_SHARE - earlierReductionMm);
}
