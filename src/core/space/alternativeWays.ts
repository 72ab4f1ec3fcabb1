import type { Source } from '../base/Source.ts';
import type { Jaw } from '../base/tooth.ts';
import { ALLOWANCE_RULES, type AllowanceRule, type RuleInput } from './allowanceRules.ts';
import type { AllowanceKind } from './Ledger.ts';

export type AlternativeKind = 'reduction' | Exclude<AllowanceKind, 'other'>;

/** Ways set side by side under one heading; a build-up uses space and stands apart from extraction. */
export type WayGroup = AlternativeKind | 'build-up';

/** In alphabetical order, which says nothing of merit. */
export const WAY_GROUPS: readonly { readonly id: WayGroup; readonly title: string }[] = [
  { id: 'arch-width', title: 'Arch width' },
  { id: 'build-up', title: 'Build-up of teeth' },
  { id: 'spee', title: 'Curve of Spee levelled' },
  { id: 'reduction', title: 'Enamel reduction' },
  { id: 'extraction', title: 'Extraction' },
  { id: 'incisor-inclination', title: 'Incisor inclination' },
  { id: 'incisor-position', title: 'Incisor position' },
  { id: 'molar-movement', title: 'Molar movement' },
];

export const wayGroup = (way: Pick<AlternativeWay, 'id' | 'kind'>): WayGroup =>
  way.id === 'build-up' ? 'build-up' : way.kind;

/** What a way of gaining space costs the patient, in words. */
export interface Cost {
  readonly text: string;
  readonly source: Source;
}

/** What one unit of a way gives by its rule: positive adds space, negative uses it. */
export interface AlternativeUnit {
  readonly words: string; // '1 mm wider between the first molars'
  readonly inputs: Readonly<Record<string, number>>; // of the rule
  readonly amountMm: number;
}

/** One way to come by space, or one that uses it, with the rule it is reckoned by. */
export interface AlternativeWay {
  readonly id: string; // 'reduction', or the id of an allowance rule
  readonly kind: AlternativeKind;
  readonly title: string;
  readonly inputs: readonly RuleInput[];
  readonly units: readonly AlternativeUnit[];
  readonly costs: readonly Cost[];
  /** Above this the source itself would not go; null where none says so. */
  readonly ceiling: { readonly mostMm: number; readonly source: Source } | null;
  readonly source: Source;
  readonly note: string | null;
}

export const REDUCTION_WAY = 'reduction';

const practice = (text: string): Cost => ({
  text,
  source: { standing: 'practice', text: 'common practice, no source' },
});
const REASONED: Source = { standing: 'computed', text: 'follows from the movement itself' };

const ALTERNATIVE_COSTS: Readonly<Record<AlternativeKind, readonly Cost[]>> = {
  reduction: [
    {
      text: 'Enamel that does not grow back; every method roughens it, polishing makes up for part of that.',
      source: { standing: 'published', text: 'Danesh G et al., Angle Orthod 2007;77:1004–1010 (roughness)' },
    },
    {
      text: 'What is cut by hand usually falls short of the plan.',
      source: {
        standing: 'published',
        text: 'De Felice ME et al., Prog Orthod 2020;21:28; Kalemaj Z, Levrini L, Angle Orthod 2021;91:61–66; not so Laganà G et al., BMC Oral Health 2021;21:199',
      },
    },
  ],
  'arch-width': [
    practice('Widening may not stay, least of all between the lower canines, and needs bone on the outside.'),
    {
      text: 'After rapid widening with a facebow about 90 % was kept at ten years.',
      source: { standing: 'published', text: 'Fenderson FA et al., Angle Orthod 2004;74:439–449' },
    },
  ],
  'incisor-position': [
    { text: 'Changes overjet and the support of the lips; both arches have to follow.', source: REASONED },
    practice('Forward movement is bounded by the bone and gum in front of the roots.'),
  ],
  'incisor-inclination': [
    { text: 'Changes overjet, overbite and the support of the lips.', source: REASONED },
    practice('Proclination is bounded by the bone and gum in front of the roots, and may not stay.'),
  ],
  spee: [
    {
      text: 'Levelling uses space, it never gives any; left as it is, the curve uses none.',
      source: REASONED,
    },
    practice('A deep curve left as it is keeps a deep bite.'),
    {
      text: 'How much depends on where the arch is measured: as the depth went from 0 to 4.7 mm its length over cusp tips fell by 3.8 mm, over the proximal points by 0.4 mm.',
      source: {
        standing: 'published',
        text: 'Cho YH, Lim SH, Gang SN, Korean J Orthod 2016;46:356–363',
      },
    },
  ],
  'molar-movement': [
    practice('Moving molars back takes months, wants anchorage and cooperation, and needs room behind them.'),
  ],
  extraction: [
    { text: 'A tooth is lost for good, and what is left of its place has to be closed.', source: REASONED },
    {
      text: 'The published tooth-size ratios are those of 12 and 6 teeth; none is at hand for an arch with teeth taken out.',
      source: { standing: 'computed', text: 'the norms in use here' },
    },
    practice('Part of the place is lost to molars coming forward; one arch alone changes the bite.'),
  ],
};

const BUILD_UP_COSTS: readonly Cost[] = [
  { text: 'Uses space; it serves the ratio of the arches, not the shortage.', source: REASONED },
  practice('A restoration that has to be kept up and one day replaced.'),
];

const SCORE_CEILING: AlternativeWay['ceiling'] = {
  mostMm: 3,
  source: {
    standing: 'secondary',
    text: 'space planning after Kirschen et al. 2000: scores of arch width and of inclination never above 3 mm, usually 0–2 (textbook appendix)',
  },
};

const FIVE_DEGREES_RAD = (5 * Math.PI) / 180;

/** Units by input of a rule; levelling is no straight line and is shown at one depth. */
const UNITS: Readonly<Record<string, { readonly words: string; readonly value: number }>> = {
  advanceMm: { words: 'incisors 1 mm forward', value: 1 },
  proclinationRad: { words: '5° of proclination', value: FIVE_DEGREES_RAD },
  intermolarGainMm: { words: '1 mm wider between the first molars', value: 1 },
  intercanineGainMm: { words: '1 mm wider between the canines', value: 1 },
  interpremolarGainMm: { words: '1 mm wider between the first premolars', value: 1 },
  distalRightMm: { words: 'right first molar 1 mm back', value: 1 },
  distalLeftMm: { words: 'left first molar 1 mm back', value: 1 },
  widthRemovedMm: { words: '1 mm of tooth taken out', value: 1 },
  anchorageLossMm: { words: '1 mm lost to molars coming forward', value: 1 },
  widthAddedMm: { words: '1 mm of build-up', value: 1 },
};

function unitsOf(rule: AllowanceRule, jaw: Jaw): readonly AlternativeUnit[] {
  const zero = Object.fromEntries(rule.inputs.map(({ name }) => [name, 0]));
  if (rule.kind === 'spee') {
    const inputs = { depthRightMm: 2, depthLeftMm: 2 };
    return [{ words: 'levelling 2 mm of depth on both sides', inputs, amountMm: rule.amountMm(inputs, jaw) }];
  }
  return rule.inputs.map(({ name }) => {
    const { words, value } = UNITS[name];
    const inputs = { ...zero, [name]: value };
    return { words, inputs, amountMm: rule.amountMm(inputs, jaw) };
  });
}

/**
 * Every way side by side, each rule a way of its own, in no order of merit; nothing is chosen or left out.
 *
 * Units:    mm of space per unit of the way; angles in rad inside.
 * Accuracy: the amounts are those of the allowance rules — tests/core/space/alternatives.test.ts.
 */
export function alternativeWays(jaw: Jaw): readonly AlternativeWay[] {
  const reduction: AlternativeWay = {
    id: REDUCTION_WAY,
    kind: 'reduction',
    title: 'Enamel reduction between the teeth: mm for mm',
    inputs: [{ name: 'amountMm', what: 'enamel taken in all', unit: 'mm', measured: null }],
    units: [{ words: '0.1 mm at one contact', inputs: { amountMm: 0.1 }, amountMm: 0.1 }],
    costs: ALTERNATIVE_COSTS.reduction,
    ceiling: null,
    source: { standing: 'computed', text: 'a narrower tooth needs as much less space' },
    note: null,
  };
  const byRule = ALLOWANCE_RULES.filter((rule) => rule.inputs.length > 0).map(
    (rule): AlternativeWay => ({
      id: rule.id,
      kind: rule.kind as AlternativeKind,
      title: rule.title,
      inputs: rule.inputs,
      units: unitsOf(rule, jaw),
      costs: rule.id === 'build-up' ? BUILD_UP_COSTS : ALTERNATIVE_COSTS[rule.kind as AlternativeKind],
      ceiling: rule.kind === 'arch-width' || rule.kind === 'incisor-inclination' ? SCORE_CEILING : null,
      source: rule.source,
      note: rule.note,
    }),
  );
  return [reduction, ...byRule];
}
