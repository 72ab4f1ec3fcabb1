import type { Source } from '../base/Source.ts';
import type { Jaw } from '../base/tooth.ts';
import { type AlternativeWay, type Cost, wayGroup } from './alternativeWays.ts';

/** What the costs of a way are reckoned with. Units: mm. */
export interface CostContext {
  readonly jaw: Jaw;
  readonly shortageMm: number;
  /** Published mean enamel of all surfaces the reduction may use, null where not known. */
  readonly enamelMm: number | null;
  /** Width sums behind the overall tooth-size ratio, where both arches are measured. */
  readonly widthSumsMm: { readonly upper: number; readonly lower: number } | null;
}

const COMPUTED: Source = { standing: 'computed', text: 'follows from the movement itself' };
const OVERJET: Source = {
  standing: 'secondary',
  text: 'cast-analysis lecture notes: 5° retroclination of the four upper incisors cuts the overjet by 0.5 mm; the other direction taken as its mirror (ours)',
};
const FENDERSON: Source = {
  standing: 'published',
  text: 'Fenderson FA et al., Angle Orthod 2004;74:439–449: 90 % of a rapid expansion with facebow kept at ten years',
};
const CHO: Source = {
  standing: 'published',
  text: 'Cho YH, Lim SH, Gang SN, Korean J Orthod 2016;46:356–363; taken as a straight line in between (ours)',
};
const KEPT_AFTER_TEN_YEARS = 0.9;
const OVERJET_PER_DEGREE_MM = 0.5 / 5;
const CHO_PER_DEPTH = 0.4 / 4.7;
const DEGREE = Math.PI / 180;

/**
 * What an amount of a way costs, in numbers where the movement or a source gives any.
 * Units: inputs as the rule takes them (mm, rad); `amountMm` is the space the rule gives.
 * Accuracy: by hand and against the printed figures — tests/core/space/costsInNumbers.test.ts.
 */
export function costsInNumbers(
  way: Pick<AlternativeWay, 'id' | 'kind'>,
  inputs: Readonly<Record<string, number>>,
  amountMm: number,
  context: CostContext,
): readonly Cost[] {
  const x = (name: string): number => inputs[name] ?? 0;
  switch (wayGroup(way)) {
    case 'reduction':
      return [...enamelCost(amountMm, context), ...ratioCost(-amountMm, context)];
    case 'build-up':
      return ratioCost(-amountMm, context);
    case 'arch-width':
      return widthCost(x('intermolarGainMm'), x('intercanineGainMm'), x('interpremolarGainMm'));
    case 'incisor-position':
      return x('advanceMm') === 0
        ? []
        : [cost(`overjet ${change((context.jaw === 'upper' ? 1 : -1) * x('advanceMm'))}`, COMPUTED)];
    case 'incisor-inclination':
      return inclinationCost(x('proclinationRad') / DEGREE, context.jaw);
    case 'spee': {
      const depthMm = Math.max(x('depthRightMm'), x('depthLeftMm'));
      if (!(depthMm > 0)) return [];
      return [
        cost(`uses ${mm(-amountMm)} of space by this rule`, COMPUTED),
        cost(`over the proximal points the arch would change by ${mm(CHO_PER_DEPTH * depthMm)}`, CHO),
      ];
    }
    case 'molar-movement':
      return molarCost(x('distalRightMm'), x('distalLeftMm'));
    case 'extraction':
      return extractionCost(x('anchorageLossMm'), amountMm, context.shortageMm);
  }
}

const cost = (text: string, source: Source): Cost => ({ text, source });
const mm = (value: number, digits = 1): string => `${Math.abs(value).toFixed(digits)} mm`;
const change = (value: number): string => `${mm(value)} ${value > 0 ? 'larger' : 'smaller'}`;

function enamelCost(amountMm: number, { enamelMm }: CostContext): readonly Cost[] {
  if (amountMm <= 0) return [];
  const share =
    enamelMm !== null && enamelMm > 0
      ? `, ${Math.round((100 * amountMm) / enamelMm)} % of the ${enamelMm.toFixed(1)} mm that published means give its surfaces`
      : '';
  return [cost(`${mm(amountMm)} of enamel for good${share}`, COMPUTED)];
}

/** `addedMm`: what the arch's teeth become wider; less than 0 for narrower. */
function ratioCost(addedMm: number, { widthSumsMm: sums, jaw }: CostContext): readonly Cost[] {
  if (!sums || addedMm === 0) return [];
  const upper = sums.upper + (jaw === 'upper' ? addedMm : 0);
  const lower = sums.lower + (jaw === 'lower' ? addedMm : 0);
  const [now, then] = [(100 * sums.lower) / sums.upper, (100 * lower) / upper];
  return [
    cost(
      `overall tooth-size ratio ${now.toFixed(1)} → ${then.toFixed(1)} %, the other arch as it is`,
      COMPUTED,
    ),
  ];
}

function widthCost(molarsMm: number, caninesMm: number, premolarsMm: number): readonly Cost[] {
  const places: readonly (readonly [string, number])[] = [
    ['molar', molarsMm],
    ['canine', caninesMm],
    ['premolar', premolarsMm],
  ];
  const moved = places
    .filter(([, by]) => by !== 0)
    .map(([tooth, by]) =>
      cost(`${mm(by / 2)} ${by > 0 ? 'outward' : 'inward'} at the ${tooth} of each side`, COMPUTED),
    );
  const lostMm = (1 - KEPT_AFTER_TEN_YEARS) * molarsMm;
  return molarsMm > 0
    ? [...moved, cost(`about ${mm(lostMm)} of the molars’ widening may be lost in ten years`, FENDERSON)]
    : moved;
}

function inclinationCost(degrees: number, jaw: Jaw): readonly Cost[] {
  if (degrees === 0) return [];
  if (jaw === 'upper') return [cost(`overjet about ${change(OVERJET_PER_DEGREE_MM * degrees)}`, OVERJET)];
  const how = degrees > 0 ? 'smaller' : 'larger';
  return [cost(`overjet ${how} by as much as the lower edges move; no figure at hand`, COMPUTED)];
}

function molarCost(rightMm: number, leftMm: number): readonly Cost[] {
  const sides: readonly (readonly [string, number])[] = [
    ['right', rightMm],
    ['left', leftMm],
  ];
  return sides
    .filter(([, by]) => by !== 0)
    .map(([side, by]) =>
      cost(
        by > 0
          ? `${mm(by)} of room needed behind the ${side} first molar`
          : `the ${side} first molar comes ${mm(by)} forward`,
        COMPUTED,
      ),
    );
}

function extractionCost(anchorageMm: number, amountMm: number, shortageMm: number): readonly Cost[] {
  if (amountMm === 0) return [];
  const left = amountMm - shortageMm;
  return [
    cost(
      left >= 0
        ? `${mm(left)} more than is short: to be closed by other means`
        : `${mm(left)} still short by itself`,
      COMPUTED,
    ),
    ...(anchorageMm > 0 ? [cost(`${mm(anchorageMm)} of it taken by molars coming forward`, COMPUTED)] : []),
  ];
}
