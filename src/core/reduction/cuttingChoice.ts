import type { Source } from '../base/Source.ts';
import type { Jaw } from '../base/tooth.ts';
import { type CuttingHabit, habitFromPrior } from './cuttingHabit.ts';
import { CUTTING_PRIORS } from './cuttingPriors.ts';

/** What recorded cuts say of this operator; made from the visits on record, where there are some. */
export interface OwnCutting {
  readonly habit: Readonly<Record<Jaw, CuttingHabit>>;
  readonly cuts: number; // on record
}

/** A way of cutting to forecast with. */
export interface CuttingWay {
  readonly id: string;
  readonly title: string;
  readonly habit: CuttingHabit;
  readonly source: Source;
  readonly note: string | null;
}

/** Every planned tenth cut, no more and no less; exactly known. */
export const AS_PLANNED: CuttingHabit = { ratio: 1, weightMm: 1e9, shape: 1e6, rateMm: 0 };

/** The ways of cutting that can be chosen: as planned, as each study found, and the operator's own record if there is one. */
export function cuttingWays(jaw: Jaw, own: OwnCutting | null): readonly CuttingWay[] {
  return [
    {
      id: 'as-planned',
      title: 'Exactly as planned',
      habit: AS_PLANNED,
      source: { standing: 'computed', text: 'every planned tenth is cut, no more and no less' },
      note: 'the spread then comes from measuring error alone; what is cut by hand often falls short of the plan',
    },
    ...(own
      ? [
          {
            id: 'own-record',
            title: `Your own record (${own.cuts} cuts)`,
            habit: own.habit[jaw],
            source: {
              standing: 'user' as const,
              text: 'cuts recorded at the visits, planned against performed',
            },
            note: null,
          },
        ]
      : []),
    ...CUTTING_PRIORS.map((prior) => ({
      id: prior.id,
      title: prior.title,
      habit: habitFromPrior(prior, jaw),
      source: prior.source,
      note: prior.note,
    })),
  ];
}

/** The way chosen; without a choice, or with an own record that is not there (any more), exactly as planned. */
export function cuttingWay(chosen: string | undefined, jaw: Jaw, own: OwnCutting | null): CuttingWay {
  const ways = cuttingWays(jaw, own);
  return ways.find(({ id }) => id === chosen) ?? ways[0];
}
