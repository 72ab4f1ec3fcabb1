import type { Source } from '../../core/base/Source.ts';
import { CONVENTION_CHOICES, type StudyConventions } from '../../core/study/Conventions.ts';
import { STANDING_WORDS } from '../format.ts';
import type { StudyResult } from './studyData.ts';

/** The formulas behind the figures, each with its source as it can be trusted. */
const METHOD_SOURCES: readonly { readonly what: string; readonly source: Source }[] = [
  {
    what: 'Bias, limits of agreement and their intervals, proportional bias (difference regressed on mean), replicates',
    source: {
      standing: 'secondary',
      text: 'Bland JM, Altman DG, Lancet 1986;i:307–310; Stat Methods Med Res 1999;8:135–160',
    },
  },
  {
    what: 'Dahlberg’s error √(Σd²/2n), technical error, coefficient of reliability',
    source: {
      standing: 'memory',
      text: 'Dahlberg G, Statistical Methods for Medical and Biological Students, 1940; Ulijaszek SJ, Kerr DA, Br J Nutr 1999;82:165–177',
    },
  },
  {
    what: 'Intraclass correlations and their intervals',
    source: { standing: 'secondary', text: 'Shrout PE, Fleiss JL, Psychol Bull 1979;86:420–428' },
  },
  {
    what: 'Concordance coefficient, interval by Fisher’s z',
    source: { standing: 'secondary', text: 'Lin LI, Biometrics 1989;45:255–268, corrected 2000;56:324–325' },
  },
  {
    what: 'Pearson’s correlation, interval by Fisher’s z',
    source: { standing: 'memory', text: 'Fisher RA, Metron 1921;1:3–32' },
  },
  {
    what: 'Deming regression, equal error variances, jackknife intervals',
    source: {
      standing: 'memory',
      text: 'Deming WE, Statistical Adjustment of Data, 1943; Linnet K, Clin Chem 1993;39:424–432',
    },
  },
  {
    what: 'Passing–Bablok regression',
    source: { standing: 'memory', text: 'Passing H, Bablok W, J Clin Chem Clin Biochem 1983;21:709–720' },
  },
  {
    what: 'Equivalence by two one-sided tests',
    source: { standing: 'memory', text: 'Schuirmann DJ, J Pharmacokinet Biopharm 1987;15:657–680' },
  },
  {
    what: 'Subjects for an intraclass correlation’s interval',
    source: { standing: 'memory', text: 'Bonett DG, Stat Med 2002;21:1331–1335' },
  },
];

/** Formulas that only some studies use. */
const REPEATS: (typeof METHOD_SOURCES)[number] = {
  what: 'SD within subjects of repeated readings by one-way analysis of variance, repeatability coefficient 1.96 √2 SD, interval by the chi-square distribution',
  source: { standing: 'secondary', text: 'Bland JM, Altman DG, BMJ 1996;313:744' },
};
const YORK: (typeof METHOD_SOURCES)[number] = {
  what: 'Regression with an SD for each value',
  source: {
    standing: 'memory',
    text: 'York D, Can J Phys 1966;44:1079–1086; York D et al., Am J Phys 2004;72:367–375',
  },
};

/** A methods paragraph for this study, with the conventions chosen. */
export function methodsText(
  { data, study, several, york }: StudyResult,
  conventions: StudyConventions,
  acceptance: number | null,
): string {
  const [all, ...groups] = study.groups;
  const missing = data.rows.filter(({ a, b }) => a === null || b === null).length;
  const unit = data.unit ? ` ${data.unit}` : '';
  const chosen = CONVENTION_CHOICES.map(
    ({ label, options, id }) => `${label}: ${options.find((option) => option.id === conventions[id])?.label}`,
  );
  return [
    `${all.figures.n} pairs of ${data.names[0]} and ${data.names[1]} were compared${unit ? ` in${unit}` : ''}${groups.length > 0 ? `, pooled and in ${groups.length} groups` : ''}; ${missing === 0 ? 'none was' : `${missing} further ${missing === 1 ? 'row was' : 'rows were'}`} left out for a missing value.`,
    'Differences are first minus second; standard deviations divide by n − 1; intervals are 95 %.',
    `Conventions: ${chosen.join('; ')}.`,
    acceptance === null ? '' : `The acceptance limit was ±${acceptance}${unit}.`,
    several && 'ok' in several
      ? `${several.ok.names.length} readings were compared together (${several.ok.names.join('; ')}), ${several.ok.complete} ${several.ok.complete === 1 ? 'subject' : 'subjects'} having all of them and ${several.ok.incomplete} further at least two.`
      : '',
    ...[...METHOD_SOURCES, ...(several ? [REPEATS] : []), ...(york ? [YORK] : [])].map(
      ({ what, source }) => `${what}: ${source.text} (${STANDING_WORDS[source.standing]}).`,
    ),
  ]
    .filter(Boolean)
    .join(' ');
}
