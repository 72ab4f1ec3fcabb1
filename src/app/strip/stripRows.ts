import type { StripLayout } from './stripLayout.ts';

/** Heights of the strip's rows, px from the top of the drawing. */
export interface StripRows {
  readonly rulerPx: number; // base of the ruler
  readonly linePx: number; // the arch line
  readonly slabPx: number; // thickness of a tooth as it stands; not a measure
  readonly rowPx: number; // top of the row of blocks
  readonly rowHeightPx: number;
  readonly rungsPx: number; // top of the tenths
  readonly heightPx: number;
}

export const RUNG_PX = 6;
const SLAB_PX = 18;
const ROW_HEIGHT_PX = 32;
const RUNG_ROOM_PX = 58;

export function stripRows(layout: StripLayout, pxPerMm: number): StripRows {
  const rulerPx = 24;
  const reachPx = layout.hasLine ? layout.outMaxMm * pxPerMm + SLAB_PX / 2 + 4 : 0;
  const linePx = rulerPx + 4 + reachPx;
  const rowPx = (layout.hasLine ? linePx + reachPx : rulerPx) + 10;
  const rungsPx = rowPx + ROW_HEIGHT_PX + 5;
  return {
    rulerPx,
    linePx,
    slabPx: SLAB_PX,
    rowPx,
    rowHeightPx: ROW_HEIGHT_PX,
    rungsPx,
    heightPx: rungsPx + RUNG_ROOM_PX,
  };
}
