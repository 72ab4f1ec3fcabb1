import { memo } from 'react';
import type { StripLayout } from './stripLayout.ts';
import type { StripRows } from './stripRows.ts';

const EDGE_PX = 22; // where R and L stand

/** Millimetres along the line, counted from the midline both ways. */
export const StripRuler = memo(function StripRuler({
  layout,
  rows,
  pxPerMm,
  xPx,
  widthPx,
}: {
  layout: StripLayout;
  rows: StripRows;
  pxPerMm: number;
  xPx: (alongMm: number) => number;
  widthPx: number;
}) {
  const from = Math.ceil(layout.fromMm - layout.midlineMm);
  const to = Math.floor(layout.toMm - layout.midlineMm);
  const marks = Array.from({ length: to - from + 1 }, (_, i) => from + i);
  const tenths = pxPerMm > 24;
  return (
    // biome-ignore lint/a11y/noAriaHiddenOnFocusable: nothing in this group takes focus
    <g aria-hidden="true">
      <path className="strip__tick" d={`M4 ${rows.rulerPx - 0.5}H${widthPx - 4}`} />
      {tenths &&
        Array.from({ length: (to - from) * 10 }, (_, i) => from + i / 10).map((along) => (
          <path
            key={along}
            className="strip__tick"
            d={`M${xPx(layout.midlineMm + along)} ${rows.rulerPx}v-2.5`}
          />
        ))}
      {marks.map((along) => {
        const lengthPx = along % 10 === 0 ? 9 : along % 5 === 0 ? 7 : 4;
        const x = xPx(layout.midlineMm + along);
        return (
          <g key={along}>
            <path className="strip__tick" d={`M${x} ${rows.rulerPx}v${-lengthPx}`} />
            {(along % 10 === 0 || (pxPerMm > 16 && along % 5 === 0)) &&
              x > EDGE_PX &&
              x < widthPx - EDGE_PX && (
                <text x={x} y={rows.rulerPx - 12} textAnchor="middle" className="strip__faint">
                  {Math.abs(along)}
                </text>
              )}
          </g>
        );
      })}
      <text x="4" y={rows.rulerPx - 12} className="strip__faint">
        R
      </text>
      <text x={widthPx - 4} y={rows.rulerPx - 12} textAnchor="end" className="strip__faint">
        L
      </text>
    </g>
  );
});
