import { Refusal } from '../base/refusal.ts';
import { STUDY_CONVENTIONS, type StudyConventions } from './Conventions.ts';
import type { StudyFile } from './StudyFile.ts';
import { type StudyFigures, studyFigures, studyGroup } from './studyFigures.ts';
import type { PairRow, StudyRemark } from './tablePairs.ts';

/** Pairs that belong together, none missing. */
export interface PairGroup {
  readonly by: string | null;
  readonly a: readonly number[];
  readonly b: readonly number[];
}

export interface Study {
  readonly groups: readonly { readonly by: string | null; readonly figures: StudyFigures }[];
  readonly remarks: readonly StudyRemark[];
}

/** All complete pairs, then those of each group in the order of first mention. */
export function pairGroups(rows: readonly Omit<PairRow, 'line'>[]): readonly PairGroup[] {
  const groups = new Map<string | null, { a: number[]; b: number[] }>([[null, { a: [], b: [] }]]);
  for (const { by, a, b } of rows) {
    if (by !== null && !groups.has(by)) groups.set(by, { a: [], b: [] });
    if (a === null || b === null) continue;
    for (const key of by === null ? [null] : [null, by]) {
      const group = groups.get(key)!;
      group.a.push(a);
      group.b.push(b);
    }
  }
  return [...groups].map(([by, { a, b }]) => ({ by, a, b }));
}

/**
 * A study of paired rows: every figure pooled and of each group; why a figure is missing is among the remarks.
 * Refuses: 'too-few-pairs' (fewer than two complete pairs in all), 'number-invalid'.
 */
export function study(
  rows: readonly Omit<PairRow, 'line'>[],
  conventions: StudyConventions = STUDY_CONVENTIONS,
): Study {
  const groups = pairGroups(rows).map(({ by, a, b }) => ({ by, figures: studyFigures(a, b, conventions) }));
  const { n } = groups[0].figures;
  if (n < 2)
    throw new Refusal(
      'too-few-pairs',
      `study: too few complete pairs; got ${n}, need at least 2. Add measurements, or name other columns.`,
      { n },
    );
  const remarks = groups.flatMap(({ by, figures }) => remarksOf(by, figures));
  return { groups, remarks };
}

/** Figures that only the page shows; `study@1` does not hold them. */
const NOT_IN_FILE = ['proportionalBias', 'variationPercent', 'reliability'];

/** One remark for each reason, naming all figures it keeps back. */
function remarksOf(by: string | null, { missing, n }: StudyFigures): readonly StudyRemark[] {
  const reasons = new Map<string, string[]>();
  for (const { figure, why } of missing)
    if (!NOT_IN_FILE.includes(figure)) reasons.set(why, [...(reasons.get(why) ?? []), figure]);
  const where = by === null ? 'All pairs' : `Group ${JSON.stringify(by)}`;
  return [...reasons].map(([why, figures]) => ({
    code: 'figure-missing',
    message: `${where} (n = ${n}): ${figures.join(', ')} cannot be had: ${why}.`,
  }));
}

export const studyFile = ({ groups }: Study): StudyFile => ({
  schema: 'archledger/study@1',
  groups: groups.map(({ by, figures }) => studyGroup(by, figures)),
});
