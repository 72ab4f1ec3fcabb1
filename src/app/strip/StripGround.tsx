import { memo } from 'react';
import { mm } from '../format.ts';
import type { Drawn } from './Drawn.ts';

/** Arch line, its ends, the midline, and what sticks out of the line or is left free. */
export const StripGround = memo(function StripGround({
  layout,
  rows,
  pxPerMm,
  xPx,
  widthPx,
}: Drawn & { widthPx: number }) {
  const { lineEnds } = layout;
  const middlePx = xPx(layout.midlineMm);
  const bottomPx = rows.rowPx + rows.rowHeightPx;
  return (
    // biome-ignore lint/a11y/noAriaHiddenOnFocusable: nothing in this group takes focus
    <g aria-hidden="true">
      {layout.hasLine && <path className="strip__lineOut" d={`M4 ${rows.linePx}H${widthPx - 4}`} />}
      {layout.hasLine && lineEnds && (
        <>
          <path className="strip__line" d={`M${xPx(lineEnds[0])} ${rows.linePx}H${xPx(lineEnds[1])}`} />
          {lineEnds.map((end) => (
            <path key={end} className="strip__end" d={`M${xPx(end)} ${rows.rulerPx}V${bottomPx + 3}`} />
          ))}
        </>
      )}
      <path className="strip__midline" d={`M${middlePx} ${rows.rulerPx}V${bottomPx + 3}`} />
      {lineEnds && layout.overMm && (
        <>
          <Over
            fromPx={xPx(lineEnds[0])}
            overMm={layout.overMm.right}
            pxPerMm={pxPerMm}
            away={-1}
            yPx={rows.rowPx - 8}
          />
          <Over
            fromPx={xPx(lineEnds[1])}
            overMm={layout.overMm.left}
            pxPerMm={pxPerMm}
            away={1}
            yPx={rows.rowPx - 8}
          />
        </>
      )}
    </g>
  );
});

/** A dimension line: how far the blocks stick out beyond an end of the line, or what they leave free of it. */
function Over({
  fromPx,
  overMm,
  pxPerMm,
  away,
  yPx,
}: {
  fromPx: number;
  overMm: number;
  pxPerMm: number;
  away: 1 | -1;
  yPx: number;
}) {
  if (Math.abs(overMm) < 0.05) return null;
  const toPx = fromPx + overMm * pxPerMm * away;
  return (
    <>
      <path className="strip__dimension" d={`M${toPx} ${yPx - 4}V${yPx + 8}M${fromPx} ${yPx}H${toPx}`} />
      <text
        x={Math.max(fromPx * away, toPx * away) * away + 5 * away}
        y={yPx + 3.5}
        textAnchor={away === 1 ? 'start' : 'end'}
        className="strip__over-text"
      >
        {overMm > 0 ? `${mm(overMm)} over` : `${mm(-overMm)} free`}
      </text>
    </>
  );
}
