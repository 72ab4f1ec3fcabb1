import type { Table } from '../../core/casefile/tables.ts';
import type { Interval } from '../../core/study/pairs.ts';
import type { StudyFigures } from '../../core/study/studyFigures.ts';
import { fixed } from '../format.ts';
import type { OrWhy, YorkResult } from './studyData.ts';

/** One figure as a row: what it is, its value and its interval in print, and why it is missing. */
export interface FigureRow {
  readonly id: string;
  readonly label: string;
  readonly value: string;
  readonly ci: string;
  readonly why: string;
}

/** Decimals that suit differences of this spread: hundredths of a mm and below for widths. */
export const digitsFor = (sd: number | null | undefined): number =>
  sd === null || sd === undefined || sd === 0 || sd < 0.02 ? 4 : sd < 1 ? 3 : 2;

export const interval = (ci: Interval | null | undefined, digits: number): string =>
  ci ? `${fixed(ci[0], digits)} to ${fixed(ci[1], digits)}` : '';

export const pWord = (p: number): string => (p < 0.001 ? '< 0.001' : fixed(p, 3));

/** How an intraclass correlation is meant, in words. */
const ICC_WORDS = {
  single1: 'ICC (1,1), one-way, single',
  single2: 'ICC (2,1), agreement, single',
  single3: 'ICC (3,1), consistency, single',
  average1: 'ICC (1,2), one-way, mean of both',
  average2: 'ICC (2,2), agreement, mean of both',
  average3: 'ICC (3,2), consistency, mean of both',
} as const;

/** Every figure of a group as rows, in the order a report gives them. */
export function figureRows(
  figures: StudyFigures,
  unit: string,
  york: OrWhy<YorkResult> | null = null,
): readonly FigureRow[] {
  const { agreement, icc, deming, passingBablok, pairedT, proportional } = figures;
  const digits = digitsFor(agreement?.sd);
  const in_ = unit ? `, ${unit}` : '';
  const why = (figure: string): string =>
    figures.missing.find(
      (one) =>
        one.figure === figure || one.figure === figure.split('.')[0] || one.figure === `${figure}.slopeCi`,
    )?.why ?? '';
  const row = (
    id: string,
    label: string,
    value: number | null | undefined,
    ci: Interval | null | undefined = null,
    places = digits,
  ): FigureRow => ({
    id,
    label,
    value: value === null || value === undefined ? '–' : fixed(value, places),
    ci: interval(ci, places),
    why: why(id),
  });
  return [
    row('bias', `Bias${in_}`, figures.bias, agreement?.biasCi),
    row('limitsOfAgreement', `SD of the differences${in_}`, agreement?.sd),
    row(
      'limitsOfAgreement.lower',
      `Lower limit of agreement${in_}`,
      agreement?.limits[0],
      agreement?.limitsCi[0],
    ),
    row(
      'limitsOfAgreement.upper',
      `Upper limit of agreement${in_}`,
      agreement?.limits[1],
      agreement?.limitsCi[1],
    ),
    row(
      'proportionalBias',
      'Proportional bias (slope on the mean)',
      proportional?.slope,
      proportional?.slopeCi,
      4,
    ),
    row('dahlberg', `Dahlberg’s error = technical error${in_}`, figures.dahlberg),
    row(
      'dahlberg',
      `Repeatability coefficient, where both are repeats${in_}`,
      figures.dahlberg === null ? null : 1.96 * Math.SQRT2 * figures.dahlberg,
    ),
    row('technicalErrorPercent', 'Technical error, % of the mean', figures.technicalErrorPercent, null, 2),
    row('variationPercent', 'Coefficient of variation within pairs, %', figures.variationPercent, null, 2),
    row('reliability', 'Coefficient of reliability', figures.reliability, null, 4),
    row('pearson', 'Pearson’s r', figures.pearson?.value, figures.pearson?.ci, 4),
    row('linCcc', 'Lin’s concordance', figures.linCcc?.value, figures.linCcc?.ci, 4),
    row('icc.single1', ICC_WORDS.single1, icc?.single1.value, icc?.single1.ci, 4),
    row('icc.single2', ICC_WORDS.single2, icc?.single2.value, icc?.single2.ci, 4),
    row('icc.single3', ICC_WORDS.single3, icc?.single3.value, icc?.single3.ci, 4),
    row('icc.average1', ICC_WORDS.average1, icc?.average1.value, icc?.average1.ci, 4),
    row('icc.average2', ICC_WORDS.average2, icc?.average2.value, icc?.average2.ci, 4),
    row('icc.average3', ICC_WORDS.average3, icc?.average3.value, icc?.average3.ci, 4),
    row('deming', 'Deming slope', deming?.slope, deming?.slopeCi, 4),
    row('deming.intercept', `Deming intercept${in_}`, deming?.intercept, deming?.interceptCi),
    row('passingBablok', 'Passing–Bablok slope', passingBablok?.slope, passingBablok?.slopeCi, 4),
    row(
      'passingBablok.intercept',
      `Passing–Bablok intercept${in_}`,
      passingBablok?.intercept,
      passingBablok?.interceptCi,
    ),
    ...yorkRows(york, in_, digits),
    {
      ...row('pairedT', 'Paired t', pairedT?.t, null, 3),
      ci: pairedT ? `${pairedT.df} degrees of freedom, p ${pWord(pairedT.p)}` : '',
    },
  ];
}

/** York's line: its interval is ± 1.96 standard errors, which follow from the SDs given. */
function yorkRows(york: OrWhy<YorkResult> | null, in_: string, digits: number): readonly FigureRow[] {
  if (!york) return [];
  if ('why' in york) return [{ id: 'york', label: 'York slope', value: '–', ci: '', why: york.why }];
  const { slope, slopeSe, intercept, interceptSe, chiSquare, n } = york.ok;
  const around = (value: number, se: number): Interval => [value - 1.96 * se, value + 1.96 * se];
  return [
    {
      id: 'york',
      label: `York slope, ${n} pairs with SDs`,
      value: fixed(slope, 4),
      ci: interval(around(slope, slopeSe), 4),
      why: '',
    },
    {
      id: 'york.intercept',
      label: `York intercept${in_}`,
      value: fixed(intercept, digits),
      ci: interval(around(intercept, interceptSe), digits),
      why: '',
    },
    {
      id: 'york.chiSquare',
      label: 'York χ²: about its degrees of freedom where the SDs hold',
      value: fixed(chiSquare, 2),
      ci: `${n - 2} degrees of freedom`,
      why: '',
    },
  ];
}

const number = (value: number | null | undefined): string =>
  value === null || value === undefined ? '' : String(value);

/** Figures of every group with all their digits, one row a group, for other programs. */
export function figuresTable(
  groups: readonly { readonly by: string | null; readonly figures: StudyFigures }[],
): Omit<Table, 'name'> {
  const columns: readonly (readonly [string, (f: StudyFigures) => number | null | undefined])[] = [
    ['n', (f) => f.n],
    ['bias', (f) => f.bias],
    ['biasLow', (f) => f.agreement?.biasCi[0]],
    ['biasHigh', (f) => f.agreement?.biasCi[1]],
    ['sd', (f) => f.agreement?.sd],
    ['lowerLimit', (f) => f.agreement?.limits[0]],
    ['lowerLimitLow', (f) => f.agreement?.limitsCi[0][0]],
    ['lowerLimitHigh', (f) => f.agreement?.limitsCi[0][1]],
    ['upperLimit', (f) => f.agreement?.limits[1]],
    ['upperLimitLow', (f) => f.agreement?.limitsCi[1][0]],
    ['upperLimitHigh', (f) => f.agreement?.limitsCi[1][1]],
    ['proportionalSlope', (f) => f.proportional?.slope],
    ['proportionalP', (f) => f.proportional?.p],
    ['dahlberg', (f) => f.dahlberg],
    ['technicalErrorPercent', (f) => f.technicalErrorPercent],
    ['variationPercent', (f) => f.variationPercent],
    ['reliability', (f) => f.reliability],
    ['pearson', (f) => f.pearson?.value],
    ['linCcc', (f) => f.linCcc?.value],
    ['linCccLow', (f) => f.linCcc?.ci?.[0]],
    ['linCccHigh', (f) => f.linCcc?.ci?.[1]],
    ...(['single1', 'single2', 'single3', 'average1', 'average2', 'average3'] as const).flatMap(
      (form): [string, (f: StudyFigures) => number | null | undefined][] => [
        [`icc_${form}`, (f) => f.icc?.[form].value],
        [`icc_${form}_low`, (f) => f.icc?.[form].ci?.[0]],
        [`icc_${form}_high`, (f) => f.icc?.[form].ci?.[1]],
      ],
    ),
    ...(['deming', 'passingBablok'] as const).flatMap(
      (line): [string, (f: StudyFigures) => number | null | undefined][] => [
        [`${line}Slope`, (f) => f[line]?.slope],
        [`${line}SlopeLow`, (f) => f[line]?.slopeCi?.[0]],
        [`${line}SlopeHigh`, (f) => f[line]?.slopeCi?.[1]],
        [`${line}Intercept`, (f) => f[line]?.intercept],
        [`${line}InterceptLow`, (f) => f[line]?.interceptCi?.[0]],
        [`${line}InterceptHigh`, (f) => f[line]?.interceptCi?.[1]],
      ],
    ),
    ['t', (f) => f.pairedT?.t],
    ['df', (f) => f.pairedT?.df],
    ['p', (f) => f.pairedT?.p],
  ];
  return {
    header: ['group', ...columns.map(([name]) => name)],
    rows: groups.map(({ by, figures }) => [
      by ?? 'all pairs',
      ...columns.map(([, of]) => number(of(figures))),
    ]),
  };
}
