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

export const RUNG_PX = 7;
export const RUNG_ROOM_MAX_PX = 42;
const SLAB_PX = 18;
const LABEL_ROOM_PX = 14; // for gaps and steps in words
const OVER_ROOM_PX = 17; // for what sticks out of the line
const ROW_HEIGHT_PX = 32;
const RUNG_ROOM_PX = 62;

export function stripRows(layout: StripLayout, pxPerMm: number): StripRows {
  const rulerPx = 24;
  const [abovePx, belowPx] = layout.outMm.map((out) => out * pxPerMm + SLAB_PX / 2);
  const linePx = rulerPx + LABEL_ROOM_PX + abovePx;
  const rowPx = layout.hasLine ? linePx + belowPx + OVER_ROOM_PX : rulerPx + OVER_ROOM_PX;
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
