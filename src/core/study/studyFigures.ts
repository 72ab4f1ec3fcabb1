import { Refusal } from '../base/refusal.ts';
import { STUDY_CONVENTIONS, type StudyConventions } from './Conventions.ts';
import { deming, type MethodLine } from './deming.ts';
import { type Intraclass, type IntraclassForms, intraclass } from './intraclass.ts';
import { type Agreement, differencesOf, limitsOfAgreement } from './limitsOfAgreement.ts';
import { linConcordance } from './linConcordance.ts';
import { type PairedT, pairedT } from './pairedTests.ts';
import { checkPairs, type FigureEstimate } from './pairs.ts';
import { passingBablok } from './passingBablok.ts';
import { pearson } from './pearson.ts';
import { type ProportionalBias, proportionalBias } from './proportionalBias.ts';
import type { StudyGroup, StudyLine } from './StudyFile.ts';
import { mean } from './sums.ts';
import {
  coefficientOfVariationPercent,
  dahlbergError,
  reliabilityRatio,
  technicalErrorPercent,
} from './technicalError.ts';

/** A figure that could not be had, and why. */
export interface FigureMissing {
  readonly figure: string;
  readonly why: string;
}

/** Every paired figure of one group of pairs; null where it cannot be had, with the reason in `missing`. */
export interface StudyFigures {
  readonly n: number;
  readonly bias: number | null;
  readonly agreement: Agreement | null;
  readonly proportional: ProportionalBias | null;
  readonly dahlberg: number | null;
  readonly technicalErrorPercent: number | null;
  readonly variationPercent: number | null;
  readonly reliability: number | null;
  readonly pearson: FigureEstimate | null;
  readonly linCcc: FigureEstimate | null;
  readonly icc: Intraclass | null;
  readonly deming: MethodLine | null;
  readonly passingBablok: MethodLine | null;
  readonly pairedT: PairedT | null;
  readonly missing: readonly FigureMissing[];
}

/**
 * All figures of a group of pairs, each had or missing by itself.
 *
 * Units:    those of the columns.
 * Refuses:  'number-invalid' only; too few or constant values make figures missing.
 * Accuracy: each figure's own test; no figure is ever NaN or infinite — tests/core/study/studyFigures.test.ts.
 */
export function studyFigures(
  a: readonly number[],
  b: readonly number[],
  conventions: StudyConventions = STUDY_CONVENTIONS,
): StudyFigures {
  checkPairs('studyFigures', a, b, 0);
  const missing: FigureMissing[] = [];
  const had = <T>(figure: string, work: () => T): T | null => {
    try {
      const value = work();
      if (isFiniteThroughout(value)) return value;
      missing.push({ figure, why: 'the values give no finite figure' });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      missing.push({ figure, why: reasonOf(error) });
    }
    return null;
  };
  const icc = had('icc', () => intraclass(a.map((value, i) => [value, b[i]])));
  for (const form of ICC_FORMS) {
    if (icc && icc[form].value === null)
      missing.push({ figure: `icc.${form}`, why: 'the mean square it is divided by is 0' });
    else if (icc && icc[form].ci === null)
      missing.push({ figure: `icc.${form}.ci`, why: 'a mean square is 0' });
  }
  const line = (figure: string, work: () => MethodLine): MethodLine | null => {
    const fitted = had(figure, work);
    if (fitted && fitted.slopeCi === null)
      missing.push({ figure: `${figure}.slopeCi`, why: 'too few pairs for an interval' });
    return fitted;
  };
  return {
    n: a.length,
    bias: had('bias', () => {
      checkPairs('bias', a, b, 1);
      return mean(differencesOf(a, b));
    }),
    agreement: had('limitsOfAgreement', () => limitsOfAgreement(a, b, conventions)),
    proportional: had('proportionalBias', () => proportionalBias(a, b)),
    dahlberg: had('dahlberg', () => dahlbergError(a, b)),
    technicalErrorPercent: had('technicalErrorPercent', () => technicalErrorPercent(a, b)),
    variationPercent: had('variationPercent', () => coefficientOfVariationPercent(a, b)),
    reliability: had('reliability', () => reliabilityRatio(a, b)),
    pearson: had('pearson', () => pearson(a, b)),
    linCcc: had('linCcc', () => linConcordance(a, b, conventions)),
    icc,
    deming: line('deming', () => deming(a, b, 1, conventions)),
    passingBablok: line('passingBablok', () => passingBablok(a, b, conventions)),
    pairedT: had('pairedT', () => pairedT(a, b)),
    missing,
  };
}

const ICC_FORMS = ['single1', 'single2', 'single3', 'average1', 'average2', 'average3'] as const;

const isFiniteThroughout = (value: unknown): boolean =>
  typeof value === 'number'
    ? Number.isFinite(value)
    : typeof value !== 'object' || value === null || Object.values(value).every(isFiniteThroughout);

/** What is wrong, without the function's name and without advice that belongs to a refusal. */
const reasonOf = ({ message }: Refusal): string =>
  message
    .replace(/^\w+: /, '')
    .replace(/\. [A-Z].*$/, '')
    .replace(/\.$/, '');

const NO_ICC = { value: null, ci: null };
const NO_ICCS = Object.fromEntries(ICC_FORMS.map((form) => [form, NO_ICC])) as unknown as IntraclassForms;
const NO_LINE: StudyLine = { slope: null, intercept: null, slopeCi: null, interceptCi: null };

/** The figures as a group of `study@1`. */
export function studyGroup(by: string | null, figures: StudyFigures): StudyGroup {
  const { agreement, icc } = figures;
  return {
    by,
    n: figures.n,
    bias: figures.bias,
    sd: agreement?.sd ?? null,
    biasCi: agreement?.biasCi ?? null,
    limitsOfAgreement: agreement?.limits ?? null,
    limitsCi: agreement?.limitsCi ?? null,
    dahlberg: figures.dahlberg,
    technicalErrorPercent: figures.technicalErrorPercent,
    pearson: figures.pearson?.value ?? null,
    linCcc: figures.linCcc?.value ?? null,
    icc: icc
      ? {
          single1: icc.single1,
          single2: icc.single2,
          single3: icc.single3,
          average1: icc.average1,
          average2: icc.average2,
          average3: icc.average3,
        }
      : NO_ICCS,
    deming: figures.deming ?? NO_LINE,
    passingBablok: figures.passingBablok ?? NO_LINE,
    pairedT: figures.pairedT ?? { t: null, df: null, p: null },
  };
}
