import type { Source } from '../base/Source.ts';

export interface RatioNorm {
  readonly meanPercent: number;
  readonly sdPercent: number | null; // null: not given; then no z-score
}

/** What tooth-size ratios are compared with. */
export interface ToothSizeNorm {
  readonly id: string;
  readonly title: string;
  readonly overall: RatioNorm | null;
  readonly anterior: RatioNorm | null;
  readonly source: Source;
  readonly note: string | null;
}

const SMITH: Source = {
  standing: 'published',
  text: 'Smith SS, Buschang PH, Watanabe E, Am J Orthod Dentofacial Orthop 2000;117:169–174',
};
const SMITH_NOTE = 'mean of the overall ratio only; no SD and no anterior ratio at hand';

/** Norms that can be chosen for a case, the usual one first. */
export const TOOTH_SIZE_NORMS: readonly ToothSizeNorm[] = [
  {
    id: 'bolton-1958',
    title: 'Bolton 1958 (55 excellent occlusions)',
    overall: { meanPercent: 91.3, sdPercent: 1.91 },
    anterior: { meanPercent: 77.2, sdPercent: 1.65 },
    source: {
      standing: 'secondary',
      text: 'Bolton WA, Angle Orthod 1958;28:113–130; Bolton WA, Am J Orthod 1962;48:504–529',
    },
    note: null,
  },
  {
    id: 'smith-2000-white',
    title: 'Smith 2000, white sample',
    overall: { meanPercent: 92.3, sdPercent: null },
    anterior: null,
    source: SMITH,
    note: SMITH_NOTE,
  },
  {
    id: 'smith-2000-hispanic',
    title: 'Smith 2000, Hispanic sample',
    overall: { meanPercent: 93.1, sdPercent: null },
    anterior: null,
    source: SMITH,
    note: SMITH_NOTE,
  },
  {
    id: 'smith-2000-black',
    title: 'Smith 2000, Black sample',
    overall: { meanPercent: 93.4, sdPercent: null },
    anterior: null,
    source: SMITH,
    note: SMITH_NOTE,
  },
  {
    id: 'roy-2025',
    title: 'Roy 2025 (105 casts)',
    overall: { meanPercent: 91.4, sdPercent: 3.33 },
    anterior: { meanPercent: 77.4, sdPercent: null },
    source: { standing: 'published', text: 'Roy P et al., J Clin Exp Dent 2025;17:e280–5' },
    note: 'the anterior SD is printed as 9.02, which looks like a misprint beside class SDs of 3.8–5.3, and is left out',
  },
  {
    id: 'pierre-fauchard-21113',
    title: 'J Pierre Fauchard Acad, article 21113 (120 casts)',
    overall: { meanPercent: 90.64, sdPercent: 2.0 },
    anterior: { meanPercent: 79.16, sdPercent: 2.19 },
    source: { standing: 'published', text: 'Journal of Pierre Fauchard Academy, article 21113' },
    note: null,
  },
];

/** The norm with that id, or null. */
export const toothSizeNorm = (id: string): ToothSizeNorm | null =>
  TOOTH_SIZE_NORMS.find((norm) => norm.id === id) ?? null;
