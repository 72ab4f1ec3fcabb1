import type { Source } from '../base/Source.ts';

/** Choices on which published work differs; they change late digits, so each study names its own. */
export interface StudyConventions {
  /** How many SD the limits of agreement lie from the bias. */
  readonly limitsFactor: '1.96' | '2' | 'exact';
  /** How the intervals of the limits of agreement are had. */
  readonly limitsInterval: '1999' | '1986' | 'exact';
  /** Divisor of the variances in Lin's coefficient. */
  readonly linDivisor: 'n' | 'n-1';
  /** Where a jackknife interval of the Deming line is centred. */
  readonly jackknifeCentre: 'full-sample' | 'pseudo-values';
  /** When the ranks that bound the Passing–Bablok slope are rounded. */
  readonly passingBablokRank: 'rounded-first' | 'rounded-last';
}

/** The conventions of `study@1`. */
export const STUDY_CONVENTIONS: StudyConventions = {
  limitsFactor: '1.96',
  limitsInterval: '1999',
  linDivisor: 'n',
  jackknifeCentre: 'full-sample',
  passingBablokRank: 'rounded-first',
};

export interface ConventionChoice<K extends keyof StudyConventions = keyof StudyConventions> {
  readonly id: K;
  readonly label: string;
  readonly options: readonly {
    readonly id: StudyConventions[K];
    readonly label: string;
    readonly source: Source;
  }[];
}

const secondary = (text: string): Source => ({ standing: 'secondary', text });
const memory = (text: string): Source => ({ standing: 'memory', text });
const practice = (text: string): Source => ({ standing: 'practice', text });

const BA_1986 = 'Bland JM, Altman DG, Lancet 1986;i:307–310';
const BA_1999 = 'Bland JM, Altman DG, Stat Methods Med Res 1999;8:135–160';

/** Every convention with its options, their names and their sources. */
export const CONVENTION_CHOICES: readonly ConventionChoice[] = [
  {
    id: 'limitsFactor',
    label: 'Limits of agreement',
    options: [
      { id: '1.96', label: 'bias ± 1.96 SD', source: secondary(BA_1999) },
      { id: '2', label: 'bias ± 2 SD', source: secondary(BA_1986) },
      {
        id: 'exact',
        label: 'bias ± 1.959964 SD',
        source: practice('the normal quantile to its last digit'),
      },
    ],
  },
  {
    id: 'limitsInterval',
    label: 'Intervals of the limits',
    options: [
      { id: '1999', label: 'approximate, SD √(1/n + 1.96²/2(n − 1))', source: secondary(BA_1999) },
      { id: '1986', label: 'approximate, SD √(3/n)', source: secondary(BA_1986) },
      {
        id: 'exact',
        label: 'exact, non-central t',
        source: memory('Carkeet A, Optom Vis Sci 2015;92:e71–e80'),
      },
    ],
  },
  {
    id: 'linDivisor',
    label: 'Variances in Lin’s coefficient',
    options: [
      { id: 'n', label: 'divided by n', source: secondary('Lin LI, Biometrics 1989;45:255–268') },
      { id: 'n-1', label: 'divided by n − 1', source: practice('many programs') },
    ],
  },
  {
    id: 'jackknifeCentre',
    label: 'Centre of the Deming intervals',
    options: [
      {
        id: 'full-sample',
        label: 'the estimate itself',
        source: practice('reference data of the R package mcr'),
      },
      {
        id: 'pseudo-values',
        label: 'mean of the pseudo-values',
        source: memory('Linnet K, Clin Chem 1993;39:424–432'),
      },
    ],
  },
  {
    id: 'passingBablokRank',
    label: 'Ranks of the Passing–Bablok slope',
    options: [
      {
        id: 'rounded-first',
        label: 'C rounded before use',
        source: practice('reference data of the R package mcr'),
      },
      {
        id: 'rounded-last',
        label: 'rounded at the end',
        source: memory('Passing H, Bablok W, J Clin Chem Clin Biochem 1983;21:709–720'),
      },
    ],
  },
];
