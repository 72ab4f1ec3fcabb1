import type { IntraclassForms } from './intraclass.ts';
import type { Interval } from './pairs.ts';

/** second = intercept + slope · first; null where it cannot be had. */
export interface StudyLine {
  readonly slope: number | null;
  readonly intercept: number | null;
  readonly slopeCi: Interval | null;
  readonly interceptCi: Interval | null;
}

/** Figures of one group; a figure that cannot be had is null. Difference = first column − second. */
export interface StudyGroup {
  readonly by: string | null; // null: all pairs
  readonly n: number;
  readonly bias: number | null;
  readonly sd: number | null; // n − 1
  readonly biasCi: Interval | null;
  readonly limitsOfAgreement: Interval | null; // bias ± 1.96 SD
  readonly limitsCi: readonly [Interval, Interval] | null; // of the lower limit, of the upper limit
  readonly dahlberg: number | null;
  readonly technicalErrorPercent: number | null;
  readonly pearson: number | null;
  readonly linCcc: number | null;
  readonly icc: IntraclassForms;
  readonly deming: StudyLine;
  readonly passingBablok: StudyLine;
  readonly pairedT: { readonly t: number | null; readonly df: number | null; readonly p: number | null };
}

/** `study@1`: the pooled group first, then one for each value of the grouping column. */
export interface StudyFile {
  readonly schema: 'archledger/study@1';
  readonly groups: readonly StudyGroup[];
}
