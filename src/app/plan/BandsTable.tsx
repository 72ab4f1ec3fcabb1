import { chanceOutsideBand } from '../../core/reduction/ratioBands.ts';
import type { RatioBand } from '../../core/reduction/twoArchModel.ts';
import type { ToothSizeRatio } from '../../core/space/Ledger.ts';
import type { RatiosNowAndAfter } from '../account/useRatios.ts';
import { fixed, percent, sd } from '../format.ts';

/** Tooth-size ratios against their bands, as they stand and after the amounts in force. */
export function BandsTable({
  bands,
  ratios,
}: {
  bands: readonly RatioBand[];
  ratios: Pick<RatiosNowAndAfter, 'now' | 'planned'>;
}) {
  const after = ratios.planned ?? ratios.now;
  return (
    <table className="grid num">
      <thead>
        <tr>
          <th scope="col">Ratio, %</th>
          <th scope="col">band</th>
          <th scope="col">now</th>
          <th scope="col">outside</th>
          <th scope="col">after the plan</th>
          <th scope="col">outside</th>
        </tr>
      </thead>
      <tbody>
        {bands.map((band) => (
          <tr key={band.kind}>
            <th scope="row">{band.kind}</th>
            <td>
              {band.lowPercent === band.highPercent
                ? fixed(band.lowPercent, 1)
                : `${fixed(band.lowPercent, 1)}–${fixed(band.highPercent, 1)}`}
            </td>
            <Against band={band} ratio={ratios.now[band.kind]} />
            <Against band={band} ratio={after[band.kind]} />
          </tr>
        ))}
      </tbody>
      <tfoot>
        <tr>
          <td colSpan={6} className="grid__text sheet__note">
            Outside: chance that the true ratio lies outside the band, given the measuring error; after the
            plan, if it is cut as planned. ± is one SD.
          </td>
        </tr>
      </tfoot>
    </table>
  );
}

function Against({ band, ratio }: { band: RatioBand; ratio: ToothSizeRatio }) {
  const { percent: value, sdPercent } = ratio;
  const chance = value === null || sdPercent === null ? null : chanceOutsideBand(value, sdPercent, band);
  return (
    <>
      <td>{value === null ? '–' : `${fixed(value)} ${sd(sdPercent)}`}</td>
      <td>{chance === null ? '–' : percent(chance)}</td>
    </>
  );
}
