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
    <>
      <table className="grid num">
        <thead>
          <tr>
            <th scope="col">Ratio against its band</th>
            <th scope="col">%</th>
            <th scope="col">outside</th>
          </tr>
        </thead>
        {bands.map((band) => (
          <tbody key={band.kind}>
            <tr>
              <th scope="row">
                {band.kind}, {bandWords(band)}: now
              </th>
              <Against band={band} ratio={ratios.now[band.kind]} />
            </tr>
            <tr>
              <th scope="row">after the plan</th>
              <Against band={band} ratio={after[band.kind]} />
            </tr>
          </tbody>
        ))}
      </table>
      <p className="sheet__note">
        Outside: chance that the true ratio lies outside the band, given the measuring error; after the plan,
        if it is cut as planned. ± is one SD.
      </p>
    </>
  );
}

const bandWords = ({ lowPercent, highPercent }: RatioBand): string =>
  lowPercent === highPercent
    ? `to ${fixed(lowPercent, 1)}`
    : `${fixed(lowPercent, 1)}–${fixed(highPercent, 1)}`;

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
