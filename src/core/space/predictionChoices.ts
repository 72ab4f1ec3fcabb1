import type { Source } from '../base/Source.ts';
import type { Tooth } from '../base/tooth.ts';
import type { WidthPrediction } from './Ledger.ts';
import { MOYERS_PERCENTILES, MOYERS_SOURCE } from './moyersTable.ts';
import { WIDTH_REGRESSIONS } from './predictedWidths.ts';
import { type SpaceInput, spaceLedger } from './spaceLedger.ts';

/** One way to predict unerupted teeth, with the balance it leads to. Units: mm. */
export interface PredictionChoice {
  readonly id: string;
  readonly title: string;
  readonly prediction: WidthPrediction;
  readonly widthsMm: number | null; // of all unerupted teeth without a width
  readonly sdMm: number | null; // correlations left out: of this entry alone
  readonly balanceMm: number | null;
  readonly balanceSdMm: number | null;
  readonly missing: string | null;
  readonly isChosen: boolean;
  readonly differenceMm: number | null; // of the balance from the chosen one's
  readonly source: Source;
}

/** The four lower incisors that the tables start from. */
export const LOWER_INCISORS: readonly Tooth[] = [42, 41, 31, 32];

const sameWay = (a: WidthPrediction | null, b: WidthPrediction): boolean =>
  JSON.stringify(a) === JSON.stringify(b);

/**
 * Every prediction side by side for the teeth of this arch, all else as it stands: the levels of Moyers' table, and the
 * chosen one where it lies between them; the published regressions; the same teeth of the other side.
 *
 * Units:    mm.
 * Accuracy: each row is what the account gives once that choice is made — tests/core/space/predictionChoices.test.ts.
 */
export function predictionChoices(input: SpaceInput): readonly PredictionChoice[] {
  const chosen = input.prediction ?? null;
  const own = chosen?.method === 'moyers' ? [chosen.percentile] : [];
  const levels = [...new Set([...MOYERS_PERCENTILES, ...own])].sort((a, b) => a - b);
  const ways: readonly Pick<PredictionChoice, 'id' | 'title' | 'prediction' | 'source'>[] = [
    ...levels.map((percentile) => ({
      id: `moyers-${percentile}`,
      title: `Moyers, ${percentile} %`,
      prediction: { method: 'moyers' as const, percentile },
      source: MOYERS_SOURCE,
    })),
    ...WIDTH_REGRESSIONS.map(({ id, title, source }) => ({
      id,
      title,
      prediction: { method: 'regression' as const, id },
      source,
    })),
    {
      id: 'antimere',
      title: 'The same tooth on the other side',
      prediction: { method: 'antimere' as const },
      source: {
        standing: 'practice' as const,
        text: 'as wide as the same tooth of the other side; common practice, no source',
      },
    },
  ];
  const now = spaceLedger(input).differenceMm;
  return ways.map((way) => {
    const ledger = spaceLedger({ ...input, prediction: way.prediction });
    const entry = ledger.entries.find(({ id }) => id === 'widths-predicted');
    const balanceMm = ledger.differenceMm;
    return {
      ...way,
      widthsMm: entry && entry.amountMm !== null ? -entry.amountMm + 0 : null,
      sdMm: entry?.sdMm ?? null,
      balanceMm,
      balanceSdMm: ledger.sdMm,
      missing: entry?.missing ?? null,
      isChosen: sameWay(chosen, way.prediction),
      differenceMm: balanceMm === null || now === null ? null : balanceMm - now,
    };
  });
}
