import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import type { WidthPrediction } from '../../core/space/Ledger.ts';
import { leeway, PUBLISHED_LEEWAY } from '../../core/space/leeway.ts';
import { LOWER_INCISORS, predictionChoices } from '../../core/space/predictionChoices.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { NumberInput } from '../design/controls.tsx';
import { fixed, mm, STANDING_WORDS, sd, signed } from '../format.ts';
import { actions } from '../store.ts';
import { sayingBalance } from './balanceChange.ts';
import { ChoiceTable } from './ChoiceTable.tsx';
import { Opens } from './Opens.tsx';

const NONE = 'none';
const FIRST_PERCENTILE = 75;

/** How unerupted teeth get their widths, every prediction side by side; asked only where there are some. */
export function PredictionChoice({ record, measures }: { record: ArchRecord; measures: ArchMeasures }) {
  const opposing = useArchAccount(record.jaw === 'upper' ? 'lower' : 'upper')?.measures ?? null;
  if (record.chart.unerupted.length === 0) return null;
  const { jaw, chart, perimeter, allowances, prediction } = record;
  const rows = predictionChoices({ measures, chart, perimeter, allowances, prediction, opposing });
  const lower = jaw === 'lower' ? measures : opposing;
  const incisors = LOWER_INCISORS.map((tooth) => lower?.teeth.find((t) => t.tooth === tooth) ?? null);
  const wanting = LOWER_INCISORS.filter((_, i) => !incisors[i]);
  const sumMm = incisors.reduce((sum, t) => sum + (t?.widthMm ?? 0), 0);
  const sumSdMm = Math.hypot(...incisors.map((t) => t?.sdMm ?? 0));
  const choose = (next: WidthPrediction | null, what: string): void =>
    sayingBalance(jaw, what, () => actions().setPrediction(jaw, next));
  const known = [...measures.teeth, ...(opposing?.teeth ?? [])];
  return (
    <section className="sheet__section" aria-labelledby="prediction">
      <div className="sheet__head">
        <h3 className="sheet__title" id="prediction">
          Unerupted teeth
        </h3>
        <span className="sheet__note num">
          {wanting.length > 0
            ? `lower incisors ${wanting.join(', ')} not measured`
            : `lower incisors ${mm(sumMm)}\u00a0mm ${sd(sumSdMm)}`}
        </span>
      </div>
      <p className="sheet__note num">
        Widths of {chart.unerupted.join(', ')} by each prediction, and the balance it leads to.
      </p>
      <ChoiceTable
        label="Widths of unerupted teeth predicted by"
        heads={['Predicted by', 'mm', 'balance', 'differs']}
        figureRem={[3.9]}
        value={rows.find(({ isChosen }) => isChosen)?.id ?? (prediction ? null : NONE)}
        onChange={(id) => {
          const row = rows.find((r) => r.id === id);
          choose(row?.prediction ?? null, row?.title ?? 'Widths to be entered');
        }}
        rows={[
          {
            id: NONE,
            title: 'None: enter their widths',
            spoken: 'each unerupted tooth needs a width entered for it',
            cells: ['', '', ''],
          },
          ...rows.map((row) => ({
            id: row.id,
            title: row.title,
            note: row.missing
              ? `${STANDING_WORDS[row.source.standing]}; ${row.missing}`
              : STANDING_WORDS[row.source.standing],
            spoken:
              row.widthsMm === null
                ? `cannot be had, ${row.missing}`
                : `${mm(row.widthsMm)}\u00a0mm, SD ${mm(row.sdMm)}, balance ${row.balanceMm === null ? 'not known' : `${signed(row.balanceMm)}\u00a0mm`}`,
            cells: [
              row.widthsMm === null ? (
                '–'
              ) : (
                <>
                  {fixed(row.widthsMm)}
                  <small className="choices__note">{sd(row.sdMm)}</small>
                </>
              ),
              row.balanceMm === null ? (
                '–'
              ) : (
                <>
                  {signed(row.balanceMm)}
                  <small className="choices__note">{sd(row.balanceSdMm)}</small>
                </>
              ),
              row.isChosen ? 'in use' : row.differenceMm === null ? '–' : signed(row.differenceMm),
            ],
          })),
        ]}
      />
      <NumberInput
        label="Moyers table at another percentile"
        unit="%"
        digits={0}
        step={1}
        min={5}
        max={95}
        value={prediction?.method === 'moyers' ? prediction.percentile : null}
        placeholder={String(FIRST_PERCENTILE)}
        note="5 to 95; between printed levels along the normal curve"
        onChange={(percentile) =>
          percentile !== null && choose({ method: 'moyers', percentile }, `Moyers, ${percentile} %`)
        }
      />
      <p className="sheet__note">
        SD: of a table half the spread from 5 to 95 % over 1.645; of a regression its standard error of
        estimate; errors of the two sides are taken as equal. {sourcesOf(rows)}
      </p>
      <Opens name="Leeway of the primary teeth">
        <LeewayTable record={record} known={known} />
      </Opens>
    </section>
  );
}

const sourcesOf = (rows: ReturnType<typeof predictionChoices>): string => {
  const chosen = rows.find(({ isChosen }) => isChosen);
  return chosen ? `In use: ${chosen.source.text}.` : '';
};

function LeewayTable({ record, known }: { record: ArchRecord; known: ArchMeasures['teeth'] }) {
  const { jaw, prediction, chart } = record;
  const sides = leeway(jaw, prediction, [...known, ...chart.enteredWidths], chart.missing);
  return (
    <>
      <table className="grid num">
        <thead>
          <tr>
            <th scope="col">A side, mm</th>
            <th scope="col">primary</th>
            <th scope="col">permanent</th>
            <th scope="col">leeway</th>
          </tr>
        </thead>
        <tbody>
          {sides.map((side) => (
            <tr key={side.side}>
              <th scope="row" className="grid__text">
                measured, {side.side}
                {side.missing && <span className="account__missing"> missing: {side.missing}</span>}
              </th>
              <td>{mm(side.primaryMm)}</td>
              <td>{mm(side.permanentMm)}</td>
              <td>
                {side.leewayMm === null ? '–' : signed(side.leewayMm)} {sd(side.sdMm)}
              </td>
            </tr>
          ))}
          {PUBLISHED_LEEWAY.map((row) => (
            <tr key={row.id}>
              <th scope="row" className="grid__text">
                {row.title}
                <span className="account__standing">{STANDING_WORDS[row.source.standing]}</span>
              </th>
              <td />
              <td />
              <td>{signed(row.perSideMm[jaw], 1)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="sheet__note">
        The account has the leeway in it already: it sets the permanent teeth against the whole arch up to the
        first molars. It is there as long as these stay where they are; what they drift forward is lost.
      </p>
    </>
  );
}
