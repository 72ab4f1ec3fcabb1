import { useState } from 'react';
import { toothLabel } from '../../core/base/tooth.ts';
import { ENAMEL_SHARE_SOURCE } from '../../core/reduction/enamel.ts';
import type { SurfaceTaken } from '../../core/visits/enamelTaken.ts';
import { SwitchField } from '../design/controls.tsx';
import { fixed, sd } from '../format.ts';
import { useStore } from '../store.ts';

/** Enamel taken of every surface over all visits and earlier treatment, as bars against the limit. */
export function SurfacesSection({ surfaces }: { surfaces: readonly SurfaceTaken[] }) {
  const [all, setAll] = useState(false);
  const shown = surfaces.filter((surface) => all || !surface.isEmpty);
  return (
    <section className="sheet__section" aria-labelledby="visit-surfaces">
      <div className="sheet__head">
        <h3 className="sheet__title" id="visit-surfaces">
          Enamel by surface
        </h3>
        <SwitchField on={all} onChange={setAll}>
          all surfaces
        </SwitchField>
      </div>
      {shown.length === 0 ? (
        <p className="sheet__note">Nothing taken yet, now or by earlier treatment.</p>
      ) : (
        <SurfacesTable surfaces={shown} />
      )}
      <p className="sheet__note">
        Bar: taken now, grey before it: by earlier treatment; the line at its end is the limit. Limit by
        default: {ENAMEL_SHARE_SOURCE.text}. One surface takes half of its contact unless recorded otherwise.
      </p>
    </section>
  );
}

const BAR_PX = 120;

export function SurfacesTable({ surfaces }: { surfaces: readonly SurfaceTaken[] }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const most = Math.max(0.1, ...surfaces.map((s) => Math.max(limitOf(s), takenInAll(s) + s.taken.sdMm)));
  const px = (value: number): number => (Math.max(0, value) / most) * BAR_PX;
  return (
    <table className="grid num surfaces">
      <thead>
        <tr>
          <th scope="col">Surface</th>
          <th scope="col" aria-label="bar" />
          <th scope="col">taken, mm</th>
          <th scope="col">of at most</th>
        </tr>
      </thead>
      <tbody>
        {surfaces.map((surface) => {
          const earlier = countsEarlier(surface) ? surface.earlierMm : 0;
          return (
            <tr key={`${surface.tooth}-${surface.surface}`}>
              <th scope="row">
                {toothLabel(surface.tooth, notation)} {surface.surface}
              </th>
              <td>
                <svg width={BAR_PX + 6} height="16" viewBox={`0 0 ${BAR_PX + 6} 16`} aria-hidden="true">
                  <rect className="surfaces__room" x="0" y="5" width={px(limitOf(surface))} height="6" />
                  <rect className="surfaces__earlier" x="0" y="5" width={px(earlier)} height="6" />
                  <rect
                    className={
                      surface.overMm > 0 ? 'surfaces__taken surfaces__taken_over' : 'surfaces__taken'
                    }
                    x={px(earlier)}
                    y="5"
                    width={px(surface.taken.valueMm)}
                    height="6"
                  />
                  <path
                    className="surfaces__sd"
                    d={`M${px(takenInAll(surface) - surface.taken.sdMm)} 8H${px(takenInAll(surface) + surface.taken.sdMm)}`}
                  />
                  <path className="surfaces__limit" d={`M${px(limitOf(surface))} 1V15`} />
                </svg>
              </td>
              <td>
                {fixed(takenInAll(surface))} <small className="soft">{sd(surface.taken.sdMm)}</small>
                {surface.overMm > 0.005 && (
                  <span className="ledgered__flag">{fixed(surface.overMm)} over the limit</span>
                )}
              </td>
              <td>{fixed(limitOf(surface))}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

/** A typed limit is read on what is there now: what earlier treatment took is already out of it. */
const countsEarlier = ({ limitFrom }: SurfaceTaken): boolean => limitFrom === 'half-enamel-less-earlier';
const limitOf = (surface: SurfaceTaken): number =>
  surface.limitMm + (countsEarlier(surface) ? surface.earlierMm : 0);
const takenInAll = (surface: SurfaceTaken): number =>
  surface.taken.valueMm + (countsEarlier(surface) ? surface.earlierMm : 0);
