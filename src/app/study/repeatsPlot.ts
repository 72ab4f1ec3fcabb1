import * as Plot from '@observablehq/plot';
import { type Drawn, drawn, type PlotInks, short, withUnit } from './plotDrawing.ts';
import type { StudyResult } from './studyData.ts';

/** Shapes that tell up to seven readings apart without colour. */
const SHAPES = ['circle', 'square', 'triangle', 'diamond', 'cross', 'star', 'wye'] as const;

/** Every reading of a subject against the mean of all of them, with the reach of 95 %. */
export function repeatsPlot({ data, several }: StudyResult, inks: PlotInks): Drawn | null {
  if (!several || 'why' in several || several.ok.deviations.length === 0) return null;
  const { deviations, names, reach } = several.ok;
  const means = deviations.map(({ mean }) => mean);
  const [low, high] = [Math.min(...means), Math.max(...means)];
  const pad = (high - low || 1) * 0.05;
  const shape = (name: string) => SHAPES[names.indexOf(name) % SHAPES.length];
  const ink = (name: string): string => (names.indexOf(name) % 2 === 0 ? inks.ink : inks.accent);
  const lines = [reach, -reach].map((y) => ({ y, words: `${y > 0 ? '+' : '−'}${short(reach)}` }));
  const shown = (name: string): string => (name.length > 20 ? `${name.slice(0, 19)}…` : name);
  return drawn(
    {
      marginRight: 150,
      x: {
        label: withUnit('mean of all readings', data.unit),
        domain: [low - pad, high + pad],
        labelAnchor: 'center',
        labelArrow: 'none',
      },
      y: {
        label: withUnit('reading − mean', data.unit),
        nice: true,
        labelAnchor: 'center',
        labelArrow: 'none',
      },
      marks: [
        Plot.frame({ stroke: inks.soft, strokeOpacity: 0.5 }),
        Plot.ruleY([0], { stroke: inks.soft, strokeDasharray: '1,3' }),
        Plot.ruleY(lines, { y: 'y', stroke: inks.accent, strokeDasharray: '6,4' }),
        ...names.map((name) =>
          Plot.dot(
            deviations.filter(({ reading }) => reading === name),
            { x: 'mean', y: 'off', r: 3.6, symbol: shape(name), stroke: ink(name), fill: inks.ground },
          ),
        ),
        Plot.text(lines, {
          x: () => high + pad,
          y: 'y',
          text: 'words',
          textAnchor: 'start',
          dx: 6,
          fill: inks.ink,
        }),
        ...names.flatMap((name, i) => [
          Plot.dot([name], {
            frameAnchor: 'top-right',
            dx: 66,
            dy: 6 + 20 * i,
            r: 3.6,
            symbol: shape(name),
            stroke: ink(name),
          }),
          Plot.text([name], {
            frameAnchor: 'top-right',
            textAnchor: 'start',
            dx: 76,
            dy: 6 + 20 * i,
            text: () => shown(name),
            fill: inks.ink,
          }),
        ]),
      ],
    },
    inks,
  );
}
