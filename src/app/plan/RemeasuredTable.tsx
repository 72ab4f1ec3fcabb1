import { useMemo } from 'react';
import type { CuttingWay } from '../../core/reduction/cuttingChoice.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { type RemeasuredForecast, remeasuredForecast } from '../../core/reduction/remeasuredForecast.ts';
import { fixed, mm, percent, sd, signed } from '../format.ts';

const MOST = 3;

/** How each further re-measurement narrows the space left. */
export function RemeasuredTable({
  plan,
  request,
  way,
  remeasureSdMm = request.neededSdMm,
}: {
  plan: ReductionPlan;
  request: ReductionRequest;
  way: CuttingWay;
  remeasureSdMm?: number;
}) {
  // By far the dearest of the plan's figures.
  const rows = useMemo(
    () => remeasuredForecast(plan, request, { habit: way.habit, remeasureSdMm, most: MOST }),
    [plan, request, way, remeasureSdMm],
  );
  const reachMm = Math.max(0.6, ...rows.map((r) => Math.abs(r.residualMeanMm) + 2 * r.residualSdMm));
  return (
    <>
      <table className="grid num remeasured">
        <caption className="grid__caption">If it is measured again on the way</caption>
        <thead>
          <tr>
            <th scope="col">again</th>
            <th scope="col">left, mm</th>
            <th scope="col" className="remeasured__plot">
              <span className="visually-hidden">drawn</span>
            </th>
            <th scope="col">gap 0.1</th>
            <th scope="col">0.3</th>
            <th scope="col">jam 0.1</th>
            <th scope="col">0.3</th>
            <th scope="col">enamel</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.remeasurements}>
              <th scope="row">{row.remeasurements === 0 ? 'never' : `${row.remeasurements}×`}</th>
              <td>
                {signed(row.residualMeanMm)} {sd(row.residualSdMm)}
              </td>
              <td className="remeasured__plot">
                <Range row={row} reachMm={reachMm} />
              </td>
              {row.chances.map(({ thresholdMm, chanceGap }) => (
                <td key={thresholdMm}>{percent(chanceGap)}</td>
              ))}
              {row.chances.map(({ thresholdMm, chanceJam }) => (
                <td key={thresholdMm}>{percent(chanceJam)}</td>
              ))}
              <td>{mm(row.cutInAllMm, 1)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="sheet__note">
        Never: all is cut at once. Otherwise the committed part first; each re-measurement, with an SD of{' '}
        {fixed(remeasureSdMm)}&nbsp;mm, asks anew and its committed part is cut; after the last one all it
        asks for. Bars: ± 1 and ± 2 SD; lines at ± 0.3 mm.
      </p>
    </>
  );
}

const WIDTH_PX = 88;
const HEIGHT_PX = 14;

function Range({ row, reachMm }: { row: RemeasuredForecast; reachMm: number }) {
  const { residualMeanMm: mean, residualSdMm: spread } = row;
  const x = (value: number): number => ((value + reachMm) / (2 * reachMm)) * WIDTH_PX;
  return (
    <svg viewBox={`0 0 ${WIDTH_PX} ${HEIGHT_PX}`} width={WIDTH_PX} height={HEIGHT_PX} aria-hidden="true">
      <path className="forecast__axis" d={`M${x(0)} 0V${HEIGHT_PX}`} />
      <path
        className="forecast__axis"
        d={`M${x(-0.3)} 0V${HEIGHT_PX}M${x(0.3)} 0V${HEIGHT_PX}`}
        strokeDasharray="2 2"
      />
      <path className="remeasured__two" d={`M${x(mean - 2 * spread)} 7H${x(mean + 2 * spread)}`} />
      <path className="remeasured__one" d={`M${x(mean - spread)} 7H${x(mean + spread)}`} />
      <circle className="remeasured__mean" cx={x(mean)} cy="7" r="2.2" />
    </svg>
  );
}
