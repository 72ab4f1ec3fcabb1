import { useState } from 'react';
import { PUBLISHED_CUTTING, RESIDUAL_THRESHOLD_MM } from '../../core/reduction/forecast.ts';
import { forecastPlan } from '../../core/reduction/forecastPlan.ts';
import type { PlanForecast, ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { Segments } from '../design/controls.tsx';
import { fixed, percent, sd, signed } from '../format.ts';

const WIDTH_PX = 380;
const HEIGHT_PX = 84;
const BASE_PX = 66;
const SAMPLES = 80;

type Way = 'all' | 'committed' | 'usual';

const WAYS: readonly { readonly id: Way; readonly label: string; readonly words: string }[] = [
  { id: 'all', label: 'All cut', words: 'if all that is planned is cut exactly, held-back tenths included' },
  {
    id: 'committed',
    label: 'Committed only',
    words: 'if the committed part is cut exactly and nothing more',
  },
  {
    id: 'usual',
    label: 'As usually cut',
    words: `if all that is planned is cut the way studies found: ${percent(PUBLISHED_CUTTING.performedRatio)} of it, SD ${PUBLISHED_CUTTING.sdPerToothMm} mm a tooth`,
  },
];

const forecastOf = (way: Way, plan: ReductionPlan, request: ReductionRequest): PlanForecast => {
  if (way === 'usual') return forecastPlan(plan, request, { behaviour: PUBLISHED_CUTTING });
  return forecastPlan(plan, request, { heldBack: way === 'all' ? 'cut' : 'left' });
};

/** Space left at the end, under three ways of carrying the plan out. */
export function ForecastView({ plan, request }: { plan: ReductionPlan; request: ReductionRequest }) {
  const [way, setWay] = useState<Way>('all');
  const forecast = forecastOf(way, plan, request);
  const { residualMeanMm, residualSdMm, chanceGap, chanceJam } = forecast;
  return (
    <section className="sheet__section forecast" aria-labelledby="forecast">
      <div className="sheet__head">
        <h3 className="sheet__title" id="forecast">
          Space left at the end
        </h3>
      </div>
      <Segments label="Way of cutting" small choices={WAYS} value={way} onChange={setWay} />
      <p className="sheet__note">{WAYS.find(({ id }) => id === way)?.words}</p>
      <p className="forecast__words num">
        <span>
          expected <b>{signed(residualMeanMm)}</b> mm {sd(residualSdMm)}
        </span>
        <span>
          chance of a gap <b>{percent(chanceGap)}</b>
        </span>
        <span>
          chance of jamming <b>{percent(chanceJam)}</b>
        </span>
      </p>
      {residualSdMm > 0 && <Curve meanMm={residualMeanMm} sdMm={residualSdMm} />}
      <p className="sheet__note">
        A gap or jamming counts beyond ±{fixed(RESIDUAL_THRESHOLD_MM, 1)} mm (our definition).{' '}
        {way === 'usual'
          ? `Way of cutting: ${PUBLISHED_CUTTING.source.text}.`
          : 'The spread comes from measuring error alone; what is cut by hand often falls short of the plan.'}
      </p>
    </section>
  );
}

function Curve({ meanMm, sdMm }: { meanMm: number; sdMm: number }) {
  const reach = Math.max(Math.abs(meanMm) + 3 * sdMm, 0.5);
  const x = (value: number): number => ((value + reach) / (2 * reach)) * (WIDTH_PX - 12) + 6;
  const height = (value: number): number =>
    BASE_PX - Math.exp(-(((value - meanMm) / sdMm) ** 2) / 2) * (BASE_PX - 8);
  const path = (from: number, to: number): string =>
    Array.from({ length: SAMPLES + 1 }, (_, i) => from + ((to - from) * i) / SAMPLES)
      .map((value, i) => `${i === 0 ? 'M' : 'L'}${x(value).toFixed(1)} ${height(value).toFixed(1)}`)
      .join('');
  const area = (from: number, to: number): string =>
    `${path(from, to)}L${x(to).toFixed(1)} ${BASE_PX}L${x(from).toFixed(1)} ${BASE_PX}Z`;
  const ticks = Array.from({ length: 2 * Math.floor(reach) + 1 }, (_, i) => i - Math.floor(reach));
  return (
    <svg
      viewBox={`0 0 ${WIDTH_PX} ${HEIGHT_PX}`}
      role="img"
      aria-label={`Distribution of the space left: expected ${signed(meanMm)} mm, SD ${fixed(sdMm)} mm`}
    >
      <defs>
        <pattern
          id="forecast-jam"
          width="5"
          height="5"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <rect width="1.6" height="5" fill="var(--accent)" />
        </pattern>
      </defs>
      {reach > RESIDUAL_THRESHOLD_MM && (
        <>
          <path className="forecast__jam" d={area(-reach, -RESIDUAL_THRESHOLD_MM)} />
          <path className="forecast__gap" d={area(RESIDUAL_THRESHOLD_MM, reach)} />
        </>
      )}
      <path className="forecast__curve" d={path(-reach, reach)} />
      <path className="forecast__axis" d={`M0 ${BASE_PX}H${WIDTH_PX}`} />
      {ticks.map((tick) => (
        <g key={tick}>
          <path className="forecast__axis" d={`M${x(tick)} ${BASE_PX}v4`} />
          <text x={x(tick)} y={BASE_PX + 15} textAnchor="middle">
            {signed(tick, 0)}
          </text>
        </g>
      ))}
      <path className="forecast__axis" d={`M${x(0)} 4V${BASE_PX}`} strokeDasharray="2 3" />
      <text x="6" y="12">
        jammed
      </text>
      <text x={WIDTH_PX - 6} y="12" textAnchor="end">
        gap
      </text>
    </svg>
  );
}
