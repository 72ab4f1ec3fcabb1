import type { Equivalence } from '../../src/core/study/pairedTests.ts';
import type { StudyFigures } from '../../src/core/study/studyFigures.ts';

/** What the experiment of validation.ts found; validation.json holds it. */
export interface Validation {
  readonly arches: number;
  readonly teeth: number;
  readonly unproposed: number;
  readonly limitMm: number;
  readonly results: readonly {
    readonly name: string;
    readonly equivalence: Equivalence;
    readonly groups: readonly { readonly by: string | null; readonly figures: StudyFigures }[];
  }[];
}

export const VALIDATION_FROM = '<!-- validation study: written by npx tsx tests/accuracy/validation.ts -->';
export const VALIDATION_TO = '<!-- end of validation study -->';

const mm = (value: number): string => value.toFixed(3).replace('-', '−');
const to = ([low, high]: readonly [number, number], write = mm): string => `${write(low)} to ${write(high)}`;
const four = (value: number): string => value.toFixed(4);

function cells({ n, agreement, dahlberg, icc, linCcc, proportional }: StudyFigures): readonly string[] {
  if (!agreement || !icc?.single2.ci || !linCcc || !proportional || dahlberg === null)
    throw new Error('validation: a figure of the study is missing.');
  return [
    String(n),
    `${mm(agreement.bias)} (${to(agreement.biasCi)})`,
    mm(agreement.sd),
    to(agreement.limits),
    mm(dahlberg),
    `${four(icc.single2.value!)} (${to(icc.single2.ci, four)})`,
    four(linCcc.value),
    `${mm(proportional.slope)} (${to(proportional.slopeCi)})`,
  ];
}

const HEAD = [
  'n',
  'bias (95 %) mm',
  'SD mm',
  'limits of agreement mm',
  'Dahlberg mm',
  'ICC (2,1) (95 %)',
  'Lin',
  'slope on the mean (95 %)',
];
const lines = (head: string, rows: readonly (readonly string[])[]): string =>
  [
    `| ${[head, ...HEAD].join(' | ')} |`,
    `| --- |${HEAD.map(() => ' --: |').join('')}`,
    ...rows.map((row) => `| ${row.join(' | ')} |`),
  ].join('\n');

/** How far from truth a single width may be. */
const reach = ({ agreement }: StudyFigures): number =>
  agreement ? Math.max(...agreement.limits.map(Math.abs)) : 0;

/** The study as README tells it. */
export function validationReport({ arches, teeth, unproposed, limitMm, results }: Validation): string {
  const pooled = results.map(({ name, groups }) => [name, ...cells(groups[0].figures)]);
  const byKind = results
    .slice(0, 2)
    .flatMap(({ name, groups }) =>
      groups.slice(1).map(({ by, figures }) => [`${by}: ${name}`, ...cells(figures)]),
    );
  const within = results
    .slice(0, 3)
    .map(({ name, equivalence: { isEquivalent, areLimitsCiWithin, areLimitsWithin } }) => {
      const single = areLimitsCiWithin
        ? 'yes, with their intervals'
        : areLimitsWithin
          ? 'yes, without their intervals'
          : 'no';
      return `${name.replace(' − truth', '')}: bias ${isEquivalent ? 'yes' : 'not shown'}, limits of agreement ${single}`;
    });

  const worst = results
    .slice(0, 2)
    .map(({ name, groups }) => {
      const kinds = groups.slice(1).filter(({ figures }) => figures.agreement !== null);
      const { by, figures } = kinds.reduce((most, one) =>
        reach(one.figures) > reach(most.figures) ? one : most,
      );
      return `Worst, ${name.replace(' − truth', '')}: ${by}, a single width is off truth by ${to(figures.agreement!.limits)} mm, 95 of 100.`;
    })
    .join(' ');
  return [
    `**Material.** ${arches} generated arches (upper and lower by turns, aligned to 6 mm crowded and 3 mm spaced, noise 0.01 to 0.03 mm, 60,000 triangles, any pose), ${teeth} teeth, each width known exactly. They are synthetic: no plaster, no caliper, no patient; enamel, gum and scanner behave as the generator makes them.`,
    `**Methods.** Each tooth was measured as proposed, nothing clicked${unproposed > 0 ? ` (${unproposed} teeth not proposed)` : ''}, and in two readings by clicks scattered up to 0.6 mm about its true contact points, snapped and not snapped. A click here has no habit of its own; people do. Agreement by the study figures of this program: differences with n − 1, limits bias ± 1.96 SD, ICC (2,1), Lin with n, least squares of difference on mean. Teeth of one arch are not independent, so the intervals are somewhat too narrow. Correlations over all teeth are high chiefly because teeth differ in size; the limits say what a single width is worth.`,
    lines('comparison', pooled),
    `**Within ±${limitMm.toFixed(2)} mm** (two one-sided tests at 5 % for the bias; acceptance limit from memory, unverified: Schirmer UR, Wiltshire WA, Am J Orthod Dentofacial Orthop 1997;112:400–407). ${within.join('; ')}.`,
    lines('kind of tooth', byKind),
    worst,
  ].join('\n\n');
}
