import { RESIDUAL_THRESHOLD_MM } from '../../core/reduction/forecast.ts';
import { fixed, signed } from '../format.ts';

const WIDTH_PX = 380;
const HEIGHT_PX = 84;
const BASE_PX = 66;
const SAMPLES = 80;

/** The distribution of the space left, what counts as jamming and as a gap filled in. */
export function ResidualCurve({ meanMm, sdMm }: { meanMm: number; sdMm: number }) {
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
      aria-label={`Distribution of the space left: expected ${signed(meanMm)}\u00a0mm, SD ${fixed(sdMm)}\u00a0mm`}
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
