import * as Plot from '@observablehq/plot';
import type { IntraclassEstimate } from '../../core/study/intraclass.ts';
import { type Drawn, drawn, type PlotInks, short, withUnit } from './plotDrawing.ts';
import { repeatsPlot } from './repeatsPlot.ts';
import type { StudyResult } from './studyData.ts';

export type PlotKind = 'agreement' | 'identity' | 'repeats' | 'icc' | 'error';

export const PLOT_TITLES: Readonly<Record<PlotKind, string>> = {
  agreement: 'Difference against mean',
  identity: 'Second against first',
  repeats: 'Each reading against the mean of all',
  icc: 'Intraclass correlations',
  error: 'Error by group',
};

/** A plot of a result as an SVG element, or null where its figures are missing. */
export function plotOf(kind: PlotKind, result: StudyResult, inks: PlotInks): Drawn | null {
  if (kind === 'agreement') return agreementPlot(result, inks);
  if (kind === 'identity') return identityPlot(result, inks);
  if (kind === 'repeats') return repeatsPlot(result, inks);
  if (kind === 'icc') return iccPlot(result, inks);
  return errorPlot(result, inks);
}

function agreementPlot({ data, groups, study }: StudyResult, inks: PlotInks): Drawn | null {
  const { agreement, proportional } = study.groups[0].figures;
  if (!agreement) return null;
  const { a, b } = groups[0];
  const points = a.map((value, i) => ({ mean: (value + b[i]) / 2, difference: value - b[i] }));
  const means = points.map(({ mean }) => mean);
  const [low, high] = [Math.min(...means), Math.max(...means)];
  const pad = (high - low || 1) * 0.05;
  const ends = [low - pad, high + pad] as const;
  const band = (y1: number, y2: number) => ({ x1: ends[0], x2: ends[1], y1, y2 });
  const line = (y: number, words: string) => ({ y, words: `${words} ${short(y)}` });
  const limits = [line(agreement.limits[1], 'upper limit'), line(agreement.limits[0], 'lower limit')];
  return drawn(
    {
      marginRight: 118,
      x: {
        label: withUnit(`mean of ${data.names[0]} and ${data.names[1]}`, data.unit),
        domain: [...ends],
        labelAnchor: 'center',
        labelArrow: 'none',
      },
      y: {
        label: withUnit(`${data.names[0]} − ${data.names[1]}`, data.unit),
        nice: true,
        labelAnchor: 'center',
        labelArrow: 'none',
      },
      marks: [
        Plot.frame({ stroke: inks.soft, strokeOpacity: 0.5 }),
        Plot.rect(
          [band(...agreement.biasCi), band(...agreement.limitsCi[0]), band(...agreement.limitsCi[1])],
          { x1: 'x1', x2: 'x2', y1: 'y1', y2: 'y2', fill: inks.wash, fillOpacity: 0.12 },
        ),
        Plot.ruleY([0], { stroke: inks.soft, strokeDasharray: '1,3' }),
        Plot.ruleY([agreement.bias], { stroke: inks.accent, strokeWidth: 1.6 }),
        Plot.ruleY(limits, { y: 'y', stroke: inks.accent, strokeDasharray: '6,4' }),
        ...(proportional
          ? [
              Plot.line(
                ends.map((x) => ({ x, y: proportional.intercept + proportional.slope * x })),
                { x: 'x', y: 'y', stroke: inks.ink, strokeDasharray: '2,2', strokeOpacity: 0.8 },
              ),
            ]
          : []),
        Plot.dot(points, { x: 'mean', y: 'difference', r: 3.2, stroke: inks.ink, fill: inks.ground }),
        Plot.text([line(agreement.bias, 'bias'), ...limits], {
          x: () => ends[1],
          y: 'y',
          text: 'words',
          textAnchor: 'start',
          dx: 6,
          fill: inks.ink,
        }),
      ],
    },
    inks,
  );
}

function identityPlot({ data, groups, study, york }: StudyResult, inks: PlotInks): Drawn | null {
  const { a, b } = groups[0];
  const { deming, passingBablok } = study.groups[0].figures;
  const own = york && 'ok' in york ? york.ok : null;
  const all = [...a, ...b];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const pad = (high - low || 1) * 0.05;
  const domain = [low - pad, high + pad];
  const lineOf = (name: string, slope: number, intercept: number) =>
    domain.map((x) => ({ name, x, y: intercept + slope * x }));
  const lines = [
    ...lineOf('identity', 1, 0),
    ...(deming ? lineOf('Deming', deming.slope, deming.intercept) : []),
    ...(passingBablok ? lineOf('Passing–Bablok', passingBablok.slope, passingBablok.intercept) : []),
    ...(own ? lineOf('York', own.slope, own.intercept) : []),
  ];
  const dash: Readonly<Record<string, string>> = {
    identity: '1,3',
    Deming: 'none',
    'Passing–Bablok': '7,4',
    York: '10,3,2,3',
  };
  const sample: Readonly<Record<string, string>> = {
    identity: '· · · · ·',
    Deming: '———',
    'Passing–Bablok': '– – – –',
    York: '— · — ·',
  };
  const names = [...new Set(lines.map(({ name }) => name))];
  return drawn(
    {
      marginRight: 118,
      x: { label: withUnit(data.names[0], data.unit), domain, labelAnchor: 'center', labelArrow: 'none' },
      y: { label: withUnit(data.names[1], data.unit), domain, labelAnchor: 'center', labelArrow: 'none' },
      marks: [
        Plot.frame({ stroke: inks.soft, strokeOpacity: 0.5 }),
        ...names.map((name) =>
          Plot.line(
            lines.filter((one) => one.name === name),
            {
              x: 'x',
              y: 'y',
              clip: true,
              stroke: name === 'identity' ? inks.soft : name === 'Deming' ? inks.accent : inks.ink,
              strokeDasharray: dash[name],
              strokeWidth: name === 'identity' ? 1.2 : 1.6,
            },
          ),
        ),
        Plot.dot(
          a.map((x, i) => ({ x, y: b[i] })),
          { x: 'x', y: 'y', r: 3.2, stroke: inks.ink, fill: inks.ground },
        ),
        // The key stands beside the frame, where no point can be.
        ...names.flatMap((name, i) => [
          Plot.text([name], {
            frameAnchor: 'top-right',
            textAnchor: 'start',
            dx: 8,
            dy: 4 + 34 * i,
            text: () => name,
            fill: inks.ink,
          }),
          Plot.text([name], {
            frameAnchor: 'top-right',
            textAnchor: 'start',
            dx: 8,
            dy: 18 + 34 * i,
            text: () => sample[name],
            fill: name === 'identity' ? inks.soft : name === 'Deming' ? inks.accent : inks.ink,
          }),
        ]),
      ],
    },
    inks,
  );
}

function iccPlot({ study }: StudyResult, inks: PlotInks): Drawn | null {
  const forms = [
    ['ICC (1,1)', 'single1'],
    ['ICC (2,1)', 'single2'],
    ['ICC (3,1)', 'single3'],
    ['ICC (1,2)', 'average1'],
    ['ICC (2,2)', 'average2'],
    ['ICC (3,2)', 'average3'],
  ] as const;
  const rows: { name: string; value: number; low: number; high: number }[] = [];
  const add = (name: string, one: IntraclassEstimate | undefined): void => {
    if (one && one.value !== null)
      rows.push({ name, value: one.value, low: one.ci?.[0] ?? one.value, high: one.ci?.[1] ?? one.value });
  };
  const [all, ...groups] = study.groups;
  for (const [name, form] of forms) add(name, all.figures.icc?.[form]);
  for (const { by, figures } of groups) add(`${by}, n ${figures.n}`, figures.icc?.single2);
  if (rows.length === 0) return null;
  const low = Math.max(-1, Math.min(0.5, ...rows.map((row) => row.low)));
  return drawn(
    {
      height: 96 + 26 * rows.length,
      marginLeft: 128,
      marginRight: 20,
      x: {
        label: 'correlation with its 95 % interval; groups: ICC (2,1)',
        domain: [low, 1],
        labelAnchor: 'center',
        labelArrow: 'none',
        clamp: true,
      },
      y: { label: null, domain: rows.map(({ name }) => name), type: 'point' },
      marks: [
        Plot.frame({ stroke: inks.soft, strokeOpacity: 0.5 }),
        Plot.ruleX(
          [0.75, 0.9].filter((x) => x > low),
          { stroke: inks.soft, strokeDasharray: '1,3' },
        ),
        Plot.link(rows, {
          x1: 'low',
          x2: 'high',
          y1: 'name',
          y2: 'name',
          stroke: inks.accent,
          strokeWidth: 1.8,
        }),
        Plot.dot(rows, { x: 'value', y: 'name', r: 4, fill: inks.ink, symbol: 'square' }),
      ],
    },
    inks,
  );
}

function errorPlot({ data, study }: StudyResult, inks: PlotInks): Drawn | null {
  const rows = study.groups.flatMap(({ by, figures }) =>
    figures.bias === null
      ? []
      : [
          {
            name: by ?? 'all pairs',
            bias: figures.bias,
            low: figures.agreement?.limits[0] ?? figures.bias,
            high: figures.agreement?.limits[1] ?? figures.bias,
            dahlberg: figures.dahlberg ?? 0,
          },
        ],
  );
  if (rows.length === 0) return null;
  return drawn(
    {
      marginRight: 20,
      marginBottom: rows.length > 10 ? 70 : 52,
      x: {
        label: null,
        domain: rows.map(({ name }) => name),
        type: 'point',
        padding: 0.6,
        tickRotate: rows.length > 10 ? -50 : 0,
      },
      y: {
        label: withUnit(`${data.names[0]} − ${data.names[1]}`, data.unit),
        labelAnchor: 'center',
        labelArrow: 'none',
        nice: true,
      },
      marks: [
        Plot.frame({ stroke: inks.soft, strokeOpacity: 0.5 }),
        Plot.ruleY([0], { stroke: inks.soft, strokeDasharray: '1,3' }),
        Plot.link(rows, {
          x1: 'name',
          x2: 'name',
          y1: 'low',
          y2: 'high',
          stroke: inks.accent,
          strokeWidth: 1.8,
        }),
        Plot.dot(rows, { x: 'name', y: 'bias', r: 4, fill: inks.ink }),
        Plot.dot(rows, {
          x: 'name',
          y: 'dahlberg',
          r: 4,
          stroke: inks.ink,
          fill: inks.ground,
          symbol: 'square',
        }),
      ],
    },
    inks,
  );
}
