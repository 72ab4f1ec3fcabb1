import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { MoyersPercentile, WidthPrediction } from '../../core/space/Ledger.ts';
import { MOYERS_SOURCE } from '../../core/space/moyersTable.ts';
import { WIDTH_REGRESSIONS } from '../../core/space/predictedWidths.ts';
import { SelectField } from '../design/controls.tsx';
import { STANDING_WORDS } from '../format.ts';
import { actions } from '../store.ts';

const PERCENTILES: readonly MoyersPercentile[] = [5, 15, 25, 50, 65, 75, 95];

const CHOICES: readonly { readonly id: string; readonly label: string; readonly note?: string }[] = [
  { id: 'none', label: 'None: enter their widths' },
  ...PERCENTILES.map((percentile) => ({
    id: `moyers-${percentile}`,
    label: `Moyers table, ${percentile} %`,
    note: STANDING_WORDS[MOYERS_SOURCE.standing],
  })),
  ...WIDTH_REGRESSIONS.map((regression) => ({
    id: regression.id,
    label: regression.title,
    note: STANDING_WORDS[regression.source.standing],
  })),
  { id: 'antimere', label: 'The same tooth on the other side', note: STANDING_WORDS.computed },
];

const idOf = (prediction: WidthPrediction | null): string => {
  if (!prediction) return 'none';
  if (prediction.method === 'moyers') return `moyers-${prediction.percentile}`;
  return prediction.method === 'regression' ? prediction.id : 'antimere';
};

function predictionOf(id: string): WidthPrediction | null {
  if (id === 'none') return null;
  if (id === 'antimere') return { method: 'antimere' };
  const percentile = PERCENTILES.find((p) => id === `moyers-${p}`);
  return percentile ? { method: 'moyers', percentile } : { method: 'regression', id };
}

/** How unerupted teeth get their widths; asked only where there are some. */
export function PredictionChoice({ record }: { record: ArchRecord }) {
  if (record.chart.unerupted.length === 0) return null;
  return (
    <section className="sheet__section" aria-labelledby="prediction">
      <h3 className="sheet__title" id="prediction">
        Unerupted teeth
      </h3>
      <SelectField
        label="Widths predicted by"
        choices={CHOICES}
        value={idOf(record.prediction)}
        onChange={(id) => actions().setPrediction(record.jaw, predictionOf(id))}
      />
    </section>
  );
}
