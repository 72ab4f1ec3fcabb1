import type { Notation } from '../../core/base/tooth.ts';
import type { StripLayout } from './stripLayout.ts';
import type { StripRows } from './stripRows.ts';

/** What every part of the strip's drawing needs: the layout and where it lies on the paper. */
export interface Drawn {
  readonly layout: StripLayout;
  readonly rows: StripRows;
  readonly pxPerMm: number;
  readonly notation: Notation;
  readonly xPx: (alongMm: number) => number;
  readonly yPx: (outMm: number) => number;
}
