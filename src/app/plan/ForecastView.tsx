import { memo, useMemo, useState } from 'react';
import { type CuttingWay, cuttingWay, cuttingWays } from '../../core/reduction/cuttingChoice.ts';
import { habitForecast } from '../../core/reduction/habitForecast.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { NumberInput, Segments, SelectField } from '../design/controls.tsx';
import { fixed, percent, STANDING_WORDS, sd, sentence, signed } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { useOwnCutting } from './ownCutting.ts';
import { RemeasuredTable } from './RemeasuredTable.tsx';
import { ResidualCurve } from './ResidualCurve.tsx';

type HeldBack = 'cut' | 'left';

/** The way of cutting chosen for this case. */
export function useCuttingWay(jaw: ReductionRequest['jaw']): CuttingWay {
  const chosen = useStore((state) => state.caseDocument.cutting);
  const own = useOwnCutting();
  return useMemo(() => cuttingWay(chosen, jaw, own), [chosen, jaw, own]);
}

/** Space left at the end: measuring error and a way of cutting together, and how re-measuring narrows it. */
export const ForecastView = memo(function ForecastView({
  plan,
  request,
}: {
  plan: ReductionPlan;
  request: ReductionRequest;
}) {
  const [heldBack, setHeldBack] = useState<HeldBack>('cut');
  const [remeasureSdMm, setRemeasureSdMm] = useState<number | null>(null);
  const own = useOwnCutting();
  const chosen = useStore((state) => state.caseDocument.cutting);
  const way = useCuttingWay(request.jaw);
  const ways = cuttingWays(request.jaw, own);
  const forecast = habitForecast(plan, request, () => way.habit, { heldBack });
  const { residualMeanMm, residualSdMm, chances } = forecast;
  return (
    <section className="sheet__section forecast" aria-labelledby="forecast">
      <h3 className="sheet__title" id="forecast">
        Space left at the end
      </h3>
      <div className="settings settings_wide">
        <SelectField
          label="Cut"
          choices={ways.map(({ id, title, source }) => ({
            id,
            label: title,
            note: STANDING_WORDS[source.standing],
          }))}
          value={way.id}
          onChange={(id) => actions().setCutting(id)}
        />
        <div className="field">
          <span className="field__label" aria-hidden="true">
            Of the plan
          </span>
          <Segments
            label="How much of the plan"
            value={heldBack}
            onChange={setHeldBack}
            choices={[
              { id: 'cut', label: 'all of it' },
              { id: 'left', label: 'committed only' },
            ]}
          />
        </div>
      </div>
      {chosen === 'own-record' && !own && (
        <p className="dock__say dock__say_strong">
          No cuts are on record (yet): the forecast takes them exactly as planned.
        </p>
      )}
      <div role="status" aria-label="Forecast">
        <dl className="sums num">
          <Sum name="expected" value={signed(residualMeanMm)} more={`mm ${sd(residualSdMm)}`} />
          {chances.map(({ thresholdMm, chanceGap }) => (
            <Sum key={`gap${thresholdMm}`} name="gap" value={percent(chanceGap)} more={beyond(thresholdMm)} />
          ))}
          {chances.map(({ thresholdMm, chanceJam }) => (
            <Sum
              key={`jam${thresholdMm}`}
              name="jamming"
              value={percent(chanceJam)}
              more={beyond(thresholdMm)}
            />
          ))}
        </dl>
      </div>
      {residualSdMm > 0 && <ResidualCurve meanMm={residualMeanMm} sdMm={residualSdMm} />}
      <p className="sheet__note">
        Measuring error and cutting together. A gap or jamming counts beyond ± 0.1 mm (our definition), and
        shows beyond ± 0.3 mm. {sentence(way.title)} {sentence(way.source.text)}
        {way.note && ` ${sentence(way.note)}`}
      </p>
      <RemeasuredTable
        plan={plan}
        request={request}
        way={way}
        remeasureSdMm={remeasureSdMm ?? request.neededSdMm}
      />
      <div className="settings settings_wide">
        <NumberInput
          label="SD of a re-measurement"
          digits={2}
          step={0.01}
          min={0}
          max={3}
          value={remeasureSdMm}
          placeholder={fixed(request.neededSdMm)}
          note={remeasureSdMm === null ? 'that of this account' : 'your own figure, for this view only'}
          onChange={setRemeasureSdMm}
        />
        <p className="sheet__note">
          A straighter arch is measured more surely: teeth standing off the line widen the SD of this account.
        </p>
      </div>
      <StudiesTable plan={plan} request={request} ways={ways} chosen={way.id} />
    </section>
  );
});

const beyond = (thresholdMm: number): string => `over ${fixed(thresholdMm, 1)}\u00a0mm`;

function Sum({ name, value, more }: { name: string; value: string; more: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>
        {value} <small>{more}</small>
      </dd>
    </div>
  );
}

/** What every way of cutting would leave, side by side: the studies disagree. */
function StudiesTable({
  plan,
  request,
  ways,
  chosen,
}: {
  plan: ReductionPlan;
  request: ReductionRequest;
  ways: readonly CuttingWay[];
  chosen: string;
}) {
  return (
    <details className="forecast__studies">
      <summary>The studies disagree: each beside the others</summary>
      <table className="grid num">
        <thead>
          <tr>
            <th scope="col">All cut, mm</th>
            <th scope="col">space left</th>
            <th scope="col">gap over 0.3</th>
            <th scope="col">jam over 0.3</th>
          </tr>
        </thead>
        <tbody>
          {ways.map((way) => {
            const { residualMeanMm, residualSdMm, chances } = habitForecast(plan, request, () => way.habit);
            return (
              <tr key={way.id} data-selected={way.id === chosen || undefined}>
                <th scope="row" className="grid__wrap">
                  {way.title}
                </th>
                <td>
                  {signed(residualMeanMm)} {sd(residualSdMm)}
                </td>
                <td>{percent(chances[1].chanceGap)}</td>
                <td>{percent(chances[1].chanceJam)}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </details>
  );
}
