import type { Source } from '../base/Source.ts';
import type { Jaw, Tooth } from '../base/tooth.ts';
import type { WidthPrediction } from './Ledger.ts';
import { predictedWidths } from './predictedWidths.ts';
import type { ToothWidth } from './toothSizeRatios.ts';

/** Width of the primary canine and molars of one side less that of the teeth that follow them. Units: mm. */
export interface Leeway {
  readonly side: 'right' | 'left';
  readonly primaryMm: number | null;
  readonly permanentMm: number | null; // measured where erupted, else predicted
  readonly leewayMm: number | null;
  readonly sdMm: number | null;
  readonly missing: string | null;
}

/** Published averages, for each side. */
export const PUBLISHED_LEEWAY: readonly {
  readonly id: string;
  readonly title: string;
  readonly perSideMm: Readonly<Record<Jaw, number>>;
  readonly source: Source;
}[] = [
  {
    id: 'nance-1947',
    title: 'Nance 1947',
    perSideMm: { upper: 0.9, lower: 1.7 },
    source: {
      standing: 'memory',
      text: 'Nance HN, Am J Orthod 1947;33:177–223, 253–301; figures from memory, unverified',
    },
  },
  {
    id: 'proffit',
    title: 'Proffit',
    perSideMm: { upper: 1.5, lower: 2.5 },
    source: {
      standing: 'memory',
      text: 'Proffit WR, Contemporary Orthodontics; figures from memory, unverified',
    },
  },
  {
    id: 'second-primary-molar',
    title: 'Second primary molar kept until the premolar erupts',
    perSideMm: { upper: 1, lower: 2 },
    source: {
      standing: 'secondary',
      text: 'cast-analysis lecture notes: about 1 mm upper, 2 mm lower a quadrant',
    },
  },
];

const QUADRANTS: Readonly<Record<Jaw, readonly [right: number, left: number]>> = {
  upper: [1, 2],
  lower: [4, 3],
};

/**
 * Leeway of both sides from the widths at hand.
 *
 * Units:    mm; the SD counts the primary widths, the prediction's own and what it takes from measured teeth.
 * Missing:  a primary width not measured, or teeth that cannot be predicted, are named; a tooth missing for good has
 *           no leeway.
 */
export function leeway(
  jaw: Jaw,
  prediction: WidthPrediction | null,
  known: readonly ToothWidth[],
  absent: readonly Tooth[] = [],
): readonly Leeway[] {
  return QUADRANTS[jaw].map((quadrant, i): Leeway => {
    const side = i === 0 ? 'right' : 'left';
    const width = (tooth: Tooth) => known.find((w) => w.tooth === tooth);
    const primary = [3, 4, 5].map((position) => (quadrant + 4) * 10 + position);
    const permanent = [3, 4, 5].map((position) => quadrant * 10 + position);
    const unmeasured = primary.filter((tooth) => !width(tooth));
    const primaryMm = unmeasured.length > 0 ? null : sum(primary.map((tooth) => width(tooth)!.widthMm));
    const followers = permanentWidth(permanent, jaw, prediction, known, absent);
    const missing = [
      ...(unmeasured.length > 0 ? [`width of ${unmeasured.join(', ')}`] : []),
      ...(followers.missing === null ? [] : [followers.missing]),
    ];
    const isKnown = primaryMm !== null && followers.sumMm !== null;
    return {
      side,
      primaryMm,
      permanentMm: followers.sumMm,
      leewayMm: isKnown ? primaryMm - followers.sumMm! : null,
      sdMm: isKnown ? Math.hypot(followers.sdMm, ...primary.map((tooth) => width(tooth)!.sdMm)) : null,
      missing: missing.length > 0 ? missing.join('; ') : null,
    };
  });
}

function permanentWidth(
  teeth: readonly Tooth[],
  jaw: Jaw,
  prediction: WidthPrediction | null,
  known: readonly ToothWidth[],
  absent: readonly Tooth[],
): { readonly sumMm: number | null; readonly sdMm: number; readonly missing: string | null } {
  const width = (tooth: Tooth) => known.find((w) => w.tooth === tooth);
  const measured = teeth.flatMap((tooth) => width(tooth) ?? []);
  const sdOf = (tooth: Tooth): number => width(tooth)?.sdMm ?? 0;
  const rest = teeth.filter((tooth) => !width(tooth));
  const measuredMm = sum(measured.map(({ widthMm }) => widthMm));
  if (rest.length === 0)
    return { sumMm: measuredMm, sdMm: Math.hypot(...measured.map(({ sdMm }) => sdMm)), missing: null };
  const found = predictedWidths(rest, jaw, prediction, known, absent);
  if ('missing' in found) return { sumMm: null, sdMm: 0, missing: found.missing };
  // Of a group partly erupted the tables give the rest as their sum less what is measured: the two errors cancel.
  const slopes = new Map<Tooth, number>(measured.map(({ tooth }) => [tooth, 1]));
  for (const { tooth, slope } of found.slopes) slopes.set(tooth, (slopes.get(tooth) ?? 0) + slope);
  return {
    sumMm: measuredMm + found.sumMm,
    sdMm: Math.hypot(found.ownSdMm, ...[...slopes].map(([tooth, slope]) => slope * sdOf(tooth))),
    missing: null,
  };
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
