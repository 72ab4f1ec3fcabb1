import * as Plot from '@observablehq/plot';

/** Inks of a plot; on the page they follow the theme, in a file they are those of a journal. */
export interface PlotInks {
  readonly ink: string;
  readonly soft: string;
  readonly accent: string;
  readonly wash: string;
  readonly ground: string;
  /** Narrower where it is shown small, so that its words stay legible. */
  readonly widthPx?: number;
}

export const PAGE_INKS: PlotInks = {
  ink: 'var(--ink)',
  soft: 'var(--ink-faint)',
  accent: 'var(--accent)',
  wash: 'var(--accent)',
  ground: 'var(--sheet)',
};
/** On paper, two side by side. */
export const PAPER_INKS: PlotInks = { ...PAGE_INKS, widthPx: 430 };
export const PRINT_INKS: PlotInks = {
  ink: '#111111',
  soft: '#666666',
  accent: '#a33612',
  wash: '#a33612',
  ground: '#ffffff',
};

const WIDTH = 560;
const HEIGHT = 380;
const NARROW_HEIGHT = 300; // three rows of two on a page of paper
const FONT = 'Helvetica, Arial, "Liberation Sans", sans-serif';

export type Drawn = SVGSVGElement | HTMLElement;

/** A plot with the frame, size and letters that all of them share. */
export function drawn(options: Plot.PlotOptions, inks: PlotInks): Drawn {
  const width = inks.widthPx ?? WIDTH;
  const plot = Plot.plot({
    width,
    height: width < WIDTH ? NARROW_HEIGHT : HEIGHT,
    marginLeft: 58,
    marginBottom: 46,
    style: {
      fontFamily: FONT,
      fontSize: '12px',
      color: inks.ink,
      background: inks.ground,
      overflow: 'visible',
    },
    ...options,
  });
  // The plot is described as a whole; names on its parts have no role to belong to.
  for (const part of plot.querySelectorAll('[aria-label]')) part.removeAttribute('aria-label');
  return plot;
}

export const short = (value: number): string => {
  const size = Math.abs(value);
  return value.toFixed(size >= 10 ? 1 : size >= 1 ? 2 : 3).replace('-', '−');
};

export const withUnit = (words: string, unit: string): string => (unit ? `${words}, ${unit}` : words);
