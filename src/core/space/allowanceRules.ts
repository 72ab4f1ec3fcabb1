import type { Source } from '../base/Source.ts';
import type { Jaw } from '../base/tooth.ts';
import type { ArchMeasures } from '../measure/ArchMeasures.ts';
import type { AllowanceKind } from './Ledger.ts';

/** A figure a rule is computed from: typed, or taken from the measures where they have it. */
export interface RuleInput {
  readonly name: string;
  readonly what: string; // with its positive direction
  readonly unit: 'mm' | 'rad';
  readonly measured: 'speeDepthRight' | 'speeDepthLeft' | null;
}

/** A published way from inputs to mm of space: positive adds space, negative needs it. */
export interface AllowanceRule {
  readonly id: string;
  readonly kind: AllowanceKind;
  readonly title: string;
  readonly inputs: readonly RuleInput[];
  readonly amountMm: (inputs: Readonly<Record<string, number>>, jaw: Jaw) => number;
  readonly source: Source;
  readonly note: string | null;
}

const typed = (name: string, what: string, unit: RuleInput['unit'] = 'mm'): RuleInput => ({
  name,
  what,
  unit,
  measured: null,
});

const SPEE_INPUTS: readonly RuleInput[] = [
  {
    name: 'depthRightMm',
    what: 'greatest depth of the curve, right',
    unit: 'mm',
    measured: 'speeDepthRight',
  },
  { name: 'depthLeftMm', what: 'greatest depth of the curve, left', unit: 'mm', measured: 'speeDepthLeft' },
];

const BRAUN_QUOTING = 'quoted in Braun S et al., Am J Orthod Dentofacial Orthop 1996;110:206–210';
const WIDTH_REVIEW = 'quoted in Bull Natl Res Cent 2021, doi 10.1186/s42269-021-00602-1';
const FIVE_DEGREES_RAD = (5 * Math.PI) / 180;

/** Levelling by a line through the sum of both depths; never a gain of space. */
function speeLine(
  id: string,
  title: string,
  [slope, interceptMm]: readonly [number, number],
  source: Source,
  note: string | null,
): AllowanceRule {
  const amountMm = (x: Readonly<Record<string, number>>) =>
    -Math.max(0, slope * (x.depthRightMm + x.depthLeftMm) + interceptMm) + 0;
  return { id, kind: 'spee', title, inputs: SPEE_INPUTS, amountMm, source, note };
}

const deeperSide = (x: Readonly<Record<string, number>>): number => Math.max(x.depthRightMm, x.depthLeftMm);

/** Kirschen's scores: 0 when flat, 1 mm to a depth of 3 mm, then half a mm per mm up to 2 mm. */
function kirschenSpeeMm(depthMm: number): number {
  if (depthMm <= 0) return 0;
  return Math.min(2, Math.max(1, 1 + (depthMm - 3) / 2));
}

/** Every rule offered; the first of a kind is the one shown first, none is chosen unasked. */
export const ALLOWANCE_RULES: readonly AllowanceRule[] = [
  speeLine(
    'spee-baldridge-1969',
    'Levelling the curve of Spee, Baldridge 1969: 0.488 × (right + left depth) − 0.51',
    [0.488, -0.51],
    { standing: 'secondary', text: `Baldridge DW, J Pract Orthod 1969;3:26–41, ${BRAUN_QUOTING}` },
    'below a depth sum of 1.05 mm the line falls below zero and counts as zero',
  ),
  speeLine(
    'spee-garcia-1985',
    'Levelling the curve of Spee, Garcia 1985: 0.657 × (right + left depth) + 1.34',
    [0.657, 1.34],
    { standing: 'secondary', text: `Garcia 1985, ${BRAUN_QUOTING}` },
    'asks 1.34 mm even of a flat curve; Braun 1996 found considerably less',
  ),
  speeLine(
    'spee-braun-1996',
    'Levelling the curve of Spee, Braun 1996: 0.2462 × (right + left depth) − 0.1723',
    [0.2462, -0.1723],
    {
      standing: 'memory',
      text: 'Braun S et al., Am J Orthod Dentofacial Orthop 1996;110:206–210; equation from memory, unverified',
    },
    'that the need is considerably less than by Baldridge or Garcia is in the published abstract',
  ),
  {
    id: 'spee-kirschen-2000',
    kind: 'spee',
    title: 'Levelling the curve of Spee, Kirschen 2000: 1 mm to a depth of 3 mm, 1.5 at 4, 2 from 5 mm',
    inputs: SPEE_INPUTS,
    amountMm: (x) => -kirschenSpeeMm(deeperSide(x)) + 0,
    source: {
      standing: 'memory',
      text: 'Kirschen RH, O’Higgins EA, Lee RT, Am J Orthod Dentofacial Orthop 2000;118:448–455; values from memory, unverified',
    },
    note: 'deeper side; a flat curve counts as zero and the values between 3 and 5 mm lie on a line (ours)',
  },
  {
    id: 'spee-one-to-one',
    kind: 'spee',
    title: 'Levelling the curve of Spee, old rule: 1 mm per mm of depth',
    inputs: SPEE_INPUTS,
    amountMm: (x) => -Math.max(0, deeperSide(x)) + 0,
    source: {
      standing: 'published',
      text: 'quoted and rejected by Germane N et al., Am J Orthod Dentofacial Orthop 1992;102:251–255, and Braun S et al. 1996;110:206–210',
    },
    note: 'overestimates; kept for comparison',
  },
  {
    id: 'spee-none',
    kind: 'spee',
    title: 'Curve of Spee left as it is',
    inputs: [],
    amountMm: () => 0,
    source: { standing: 'user', text: 'levelling not planned' },
    note: null,
  },
  {
    id: 'incisor-position',
    kind: 'incisor-position',
    title: 'Incisors moved forward or back: 2 mm of arch per mm',
    inputs: [typed('advanceMm', 'incisor movement, forward positive')],
    amountMm: (x) => 2 * x.advanceMm,
    source: {
      standing: 'secondary',
      text: 'space-planning lecture notes after Kirschen et al. 2000;118:448–455',
    },
    note: 'all four incisors together',
  },
  {
    id: 'incisor-inclination',
    kind: 'incisor-inclination',
    title: 'Incisors tipped: 1 mm per 5°, gained by proclination, lost by retroclination',
    inputs: [typed('proclinationRad', 'change of inclination, proclination positive', 'rad')],
    amountMm: (x) => x.proclinationRad / FIVE_DEGREES_RAD,
    source: {
      standing: 'secondary',
      text: 'cast-analysis lecture notes: 5° retroclination of four upper incisors takes 1 mm',
    },
    note: 'another secondary source gives 1 mm for 5° of proclination but 0.5 mm for 5° of retroclination',
  },
  {
    id: 'incisor-inclination-unequal',
    kind: 'incisor-inclination',
    title: 'Incisors tipped: 1 mm gained per 5° of proclination, 0.5 mm lost per 5° of retroclination',
    inputs: [typed('proclinationRad', 'change of inclination, proclination positive', 'rad')],
    amountMm: (x) => (x.proclinationRad / FIVE_DEGREES_RAD) * (x.proclinationRad < 0 ? 0.5 : 1),
    source: { standing: 'secondary', text: 'space-analysis lecture notes (second source)' },
    note: 'contradicts the source that takes 1 mm for 5° of retroclination',
  },
  {
    id: 'incisor-inclination-tweed',
    kind: 'incisor-inclination',
    title: 'Lower incisors uprighted or tipped, Tweed: 0.8 mm per degree',
    inputs: [typed('proclinationRad', 'change of inclination, proclination positive', 'rad')],
    amountMm: (x) => 0.8 * ((x.proclinationRad * 180) / Math.PI),
    source: {
      standing: 'memory',
      text: 'Tweed, correction of the Frankfort–mandibular incisor angle; from memory, unverified',
    },
    note: 'four times the other rules; both sides together',
  },
  {
    id: 'arch-width-kirschen-2000',
    kind: 'arch-width',
    title: 'Arch width, Kirschen 2000: 0.5 mm per mm between the molars',
    inputs: [typed('intermolarGainMm', 'widening between the first molars')],
    amountMm: (x) => 0.5 * x.intermolarGainMm,
    source: {
      standing: 'memory',
      text: 'Kirschen RH et al., Am J Orthod Dentofacial Orthop 2000;118:448–455; from memory, unverified',
    },
    note: null,
  },
  {
    id: 'arch-width-ricketts-1982',
    kind: 'arch-width',
    title: 'Arch width, Ricketts 1982: 1 mm per mm between the canines, 0.25 between the molars',
    inputs: [
      typed('intercanineGainMm', 'widening between the canines'),
      typed('intermolarGainMm', 'widening between the first molars'),
    ],
    amountMm: (x) => x.intercanineGainMm + 0.25 * x.intermolarGainMm,
    source: { standing: 'secondary', text: `Ricketts 1982, ${WIDTH_REVIEW}` },
    note: null,
  },
  {
    id: 'arch-width-motoyoshi-2002',
    kind: 'arch-width',
    title: 'Arch width, Motoyoshi 2002: 0.37 mm per mm between the molars',
    inputs: [typed('intermolarGainMm', 'widening between the first molars')],
    amountMm: (x) => 0.37 * x.intermolarGainMm,
    source: { standing: 'secondary', text: `Motoyoshi 2002, ${WIDTH_REVIEW}` },
    note: null,
  },
  {
    id: 'arch-width-adkins-1990',
    kind: 'arch-width',
    title: 'Arch width, Adkins 1990: 0.7 mm per mm between the premolars (rapid expansion)',
    inputs: [typed('interpremolarGainMm', 'widening between the first premolars')],
    amountMm: (x) => 0.7 * x.interpremolarGainMm,
    source: {
      standing: 'secondary',
      text: `Adkins MD et al., Am J Orthod Dentofacial Orthop 1990;97:194–199, ${WIDTH_REVIEW}`,
    },
    note: 'the quoting paper does not say that the width is taken between the premolars',
  },
  {
    id: 'arch-width-paulino-2008',
    kind: 'arch-width',
    title: 'Arch width, Paulino 2008: 1.36 mm per mm between the canines',
    inputs: [typed('intercanineGainMm', 'widening between the canines')],
    amountMm: (x) => 1.36 * x.intercanineGainMm,
    source: { standing: 'secondary', text: `Paulino 2008, ${WIDTH_REVIEW}` },
    note: null,
  },
  {
    id: 'arch-width-germane-1991',
    kind: 'arch-width',
    title: 'Arch width, Germane 1991: 0.73 mm per mm between the canines, 0.27 between the molars',
    inputs: [
      typed('intercanineGainMm', 'widening between the canines'),
      typed('intermolarGainMm', 'widening between the first molars'),
    ],
    amountMm: (x) => 0.73 * x.intercanineGainMm + 0.27 * x.intermolarGainMm,
    source: {
      standing: 'memory',
      text: 'Germane N et al., Am J Orthod Dentofacial Orthop 1991;100:421–427; figures from memory, shaky, unverified',
    },
    note: 'a spline model of one arch; the figures are not to be relied on before they are looked up',
  },
  {
    id: 'arch-width-ohiggins-2000',
    kind: 'arch-width',
    title: 'Arch width, O’Higgins and Lee 2000: 0.3 mm per mm between the molars',
    inputs: [typed('intermolarGainMm', 'widening between the first molars')],
    amountMm: (x) => 0.3 * x.intermolarGainMm,
    source: {
      standing: 'memory',
      text: 'O’Higgins EA, Lee RT, J Orthod 2000;27:11–18; figure from memory, shaky, unverified',
    },
    note: 'the figure is not to be relied on before it is looked up',
  },
  {
    id: 'arch-width-egypt-2021',
    kind: 'arch-width',
    title:
      'Arch width across people, Egyptian sample 2021: 0.536 (lower) or 1.988 mm (upper) per mm between the canines',
    inputs: [typed('intercanineGainMm', 'widening between the canines')],
    amountMm: (x, jaw) => (jaw === 'upper' ? 1.988 : 0.536) * x.intercanineGainMm,
    source: {
      standing: 'published',
      text: 'Bull Natl Res Cent 2021, doi 10.1186/s42269-021-00602-1 (340 casts)',
    },
    note: 'compares people with wide and narrow arches; that widening one arch does the same is not shown',
  },
  {
    id: 'arch-width-elkholy-2025',
    kind: 'arch-width',
    title: 'Arch width, Elkholy 2025: 0.03 (upper) or 0.04 (lower) mm less needed by the incisors per mm',
    inputs: [typed('intermolarGainMm', 'widening of the arch')],
    amountMm: (x, jaw) => (jaw === 'upper' ? 0.03 : 0.04) * x.intermolarGainMm,
    source: {
      standing: 'published',
      text: 'Elkholy F et al., Clin Oral Investig 2025, doi 10.1007/s00784-025-06361-x',
    },
    note: 'far below every other rule: what widening does for the space the incisors need',
  },
  {
    id: 'molar-movement',
    kind: 'molar-movement',
    title: 'First molars moved: mm for mm on each side',
    inputs: [
      typed('distalRightMm', 'right first molar, distal positive'),
      typed('distalLeftMm', 'left first molar, distal positive'),
    ],
    amountMm: (x) => x.distalRightMm + x.distalLeftMm,
    source: {
      standing: 'published',
      text: 'Kirschen RH et al., part II, Am J Orthod Dentofacial Orthop 2000;118:456–461 (principle)',
    },
    note: null,
  },
  {
    id: 'extraction',
    kind: 'extraction',
    title: 'Teeth taken out: their width less what the anchorage loses',
    inputs: [
      typed('widthRemovedMm', 'sum of the widths taken out'),
      typed('anchorageLossMm', 'space lost by molars coming forward'),
    ],
    amountMm: (x) => x.widthRemovedMm - x.anchorageLossMm,
    source: {
      standing: 'published',
      text: 'Kirschen RH et al., part II, Am J Orthod Dentofacial Orthop 2000;118:456–461 (principle)',
    },
    note: 'not all of an extraction space can be used; a tooth marked as missing in the chart is already out of the widths',
  },
  {
    id: 'build-up',
    kind: 'extraction',
    title: 'Teeth built up: the width added',
    inputs: [typed('widthAddedMm', 'width added by build-up')],
    amountMm: (x) => -x.widthAddedMm + 0,
    source: { standing: 'computed', text: 'a wider tooth needs as much more space' },
    note: null,
  },
];

export const allowanceRule = (id: string): AllowanceRule | null =>
  ALLOWANCE_RULES.find((rule) => rule.id === id) ?? null;

export const allowanceRulesOf = (kind: AllowanceKind): readonly AllowanceRule[] =>
  ALLOWANCE_RULES.filter((rule) => rule.kind === kind);

/** The inputs of a rule from what was typed, else from the measures; `absent` names what neither has. */
export function ruleInputs(
  rule: AllowanceRule,
  given: Readonly<Record<string, number>>,
  measures: ArchMeasures | null,
): {
  readonly values: Readonly<Record<string, { readonly value: number; readonly sd: number }>>;
  readonly absent: readonly RuleInput[];
} {
  const values: Record<string, { value: number; sd: number }> = {};
  const absent: RuleInput[] = [];
  for (const input of rule.inputs) {
    const own = Object.hasOwn(given, input.name) ? given[input.name] : undefined;
    const measured = input.measured && measures ? measures[input.measured] : null;
    if (own !== undefined && Number.isFinite(own)) values[input.name] = { value: own, sd: 0 };
    else if (own === undefined && measured)
      values[input.name] = { value: measured.valueMm, sd: measured.sdMm };
    else absent.push(input);
  }
  return { values, absent };
}
