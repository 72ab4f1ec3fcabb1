import { normalProbability } from '../base/normalDistribution.ts';
import type { Source } from '../base/Source.ts';
import type { Jaw, Tooth } from '../base/tooth.ts';
import type { ArchMeasures } from '../measure/ArchMeasures.ts';
import { allowanceAmount } from './allowanceAmount.ts';
import { allowanceRule, allowanceRulesOf, ruleInputs } from './allowanceRules.ts';
import { type AlternativeWay, alternativeWays, REDUCTION_WAY } from './alternativeWays.ts';
import type { AllowanceKind, Ledger } from './Ledger.ts';
import type { ToothWidth } from './toothSizeRatios.ts';

/** What is short, and what the enamel of this arch bears. */
export interface AlternativesContext {
  readonly jaw: Jaw;
  readonly shortageMm: number; // positive: space is wanting
  readonly shortageSdMm: number;
  readonly enamelMostMm: number; // sum of what the contacts may give, limits and locks counted
  readonly measures?: ArchMeasures | null; // lend their depths to the levelling rules
  readonly ledger?: Ledger | null; // to tell what is in the account already
}

/** One way against this shortage. */
export interface AlternativeRow {
  readonly way: AlternativeWay;
  readonly units: readonly {
    readonly words: string;
    readonly amountMm: number;
    readonly needed: number | null; // units that would make up for what enamel does not bear; null: it gives none
    /** What the other rules of the kind give for the same unit, this rule included. */
    readonly rulesMm: readonly [low: number, high: number];
  }[];
}

export interface AlternativesTable {
  readonly beyondEnamelMm: number; // shortage the enamel does not bear; 0 where it bears all
  readonly rows: readonly AlternativeRow[];
  /** Entries of the account that use space by choice; each left out would give back so much. */
  readonly givesBack: readonly { readonly id: string; readonly what: string; readonly amountMm: number }[];
}

/**
 * What each way gives per unit, and how much of it what lies beyond the enamel would take. Nothing is ranked.
 * Units: mm; `needed` in units of the way.
 */
export function alternativesTable(context: AlternativesContext): AlternativesTable {
  const beyondEnamelMm = Math.max(0, context.shortageMm - Math.max(0, context.enamelMostMm));
  const rows = alternativeWays(context.jaw).map((way): AlternativeRow => {
    // Levelling is no straight line: a number of its units would say nothing.
    const linear = way.kind !== 'spee';
    return {
      way,
      units: way.units.map(({ words, amountMm, inputs }) => ({
        words,
        amountMm,
        needed: linear && amountMm > 0 ? beyondEnamelMm / amountMm : null,
        rulesMm: rulesRangeMm(way, inputs, context.jaw),
      })),
    };
  });
  const givesBack = (context.ledger?.entries ?? []).flatMap(({ id, what, amountMm, editable }) =>
    editable && !id.startsWith('widths') && amountMm !== null && amountMm < 0
      ? [{ id, what, amountMm: -amountMm }]
      : [],
  );
  return { beyondEnamelMm, rows, givesBack };
}

/** Lowest and highest amount by every rule of the kind that the same inputs suffice for. */
function rulesRangeMm(
  way: AlternativeWay,
  inputs: Readonly<Record<string, number>>,
  jaw: Jaw,
): readonly [number, number] {
  if (way.id === REDUCTION_WAY) return [inputs.amountMm, inputs.amountMm];
  const given = Object.keys(inputs).filter((name) => inputs[name] !== 0);
  const all = allowanceRulesOf(way.kind as AllowanceKind)
    .filter((rule) => given.every((name) => rule.inputs.some((input) => input.name === name)))
    .map((rule) =>
      rule.amountMm({ ...Object.fromEntries(rule.inputs.map((i) => [i.name, 0])), ...inputs }, jaw),
    );
  return [Math.min(...all), Math.max(...all)];
}

/** One choice of the user: a way, how much of it, and an SD of their own where they have one. */
export interface AlternativeChoice {
  readonly way: string;
  readonly inputs: Readonly<Record<string, number>>;
  readonly ownSdMm?: number;
}

export interface ChosenAlternative {
  readonly choice: AlternativeChoice;
  readonly title: string;
  readonly amountMm: number | null;
  readonly sdMm: number | null; // of the inputs, or the user's own; no rule prints an SD
  readonly rulesMm: readonly [number, number] | null;
  readonly missing: string | null;
  readonly beyond: string | null; // more than enamel bears or the source would go
  readonly source: Source;
}

export interface Combination {
  readonly chosen: readonly ChosenAlternative[];
  readonly totalMm: number | null; // null where a choice lacks its figures
  readonly balanceMm: number | null; // total − shortage: negative is still short
  readonly sdMm: number | null; // of the balance
  /** The balance by the most frugal and the most generous published rules. */
  readonly balanceByRulesMm: readonly [number, number] | null;
  readonly chanceShort: number | null; // that space is still wanting
  readonly cautions: readonly string[]; // choices that may count the same space twice
}

/**
 * What the choices add up to against the shortage.
 *
 * Units:    mm; SD of the balance from the shortage and the choices as independent. Rules of one kind disagree by
 *           more than any SD: `balanceByRulesMm` shows how far.
 * Missing:  a choice without its inputs, or of no known way, is null and says what is wanting; so then is the sum.
 * Accuracy: sums by hand and laws — tests/core/space/alternatives.test.ts.
 */
export function combineAlternatives(
  choices: readonly AlternativeChoice[],
  context: AlternativesContext,
): Combination {
  const chosen = choices.map((choice) => chosenAlternative(choice, context));
  const cautions = doubleCounts(choices, context.ledger ?? null);
  const amounts = chosen.map(({ amountMm }) => amountMm);
  if (amounts.some((amount) => amount === null)) {
    const unknown = { totalMm: null, balanceMm: null, sdMm: null, balanceByRulesMm: null, chanceShort: null };
    return { chosen, ...unknown, cautions };
  }
  const totalMm = amounts.reduce<number>((sum, amount) => sum + amount!, 0);
  const balanceMm = totalMm - context.shortageMm;
  const sdMm = Math.hypot(context.shortageSdMm, ...chosen.map((one) => one.sdMm ?? 0));
  const by = (end: 0 | 1) => chosen.reduce((sum, one) => sum + one.rulesMm![end], 0) - context.shortageMm;
  return {
    chosen,
    totalMm,
    balanceMm,
    sdMm,
    balanceByRulesMm: [by(0), by(1)],
    chanceShort: sdMm > 0 ? normalProbability(-balanceMm / sdMm) : balanceMm < 0 ? 1 : 0,
    cautions,
  };
}

function chosenAlternative(choice: AlternativeChoice, context: AlternativesContext): ChosenAlternative {
  const way = alternativeWays(context.jaw).find(({ id }) => id === choice.way);
  if (!way) {
    const source: Source = { standing: 'user', text: 'chosen by hand' };
    const missing = `a known way (“${choice.way}” is none)`;
    return {
      choice,
      title: choice.way,
      amountMm: null,
      sdMm: null,
      rulesMm: null,
      missing,
      beyond: null,
      source,
    };
  }
  const found = way.id === REDUCTION_WAY ? reductionAmount(choice) : ruleAmount(choice, way, context);
  return {
    choice,
    title: way.title,
    ...found,
    beyond: found.amountMm === null ? null : beyondOf(found.amountMm, way, context),
    source: way.source,
  };
}

type Amount = Pick<ChosenAlternative, 'amountMm' | 'sdMm' | 'rulesMm' | 'missing'>;

function reductionAmount({ inputs, ownSdMm }: AlternativeChoice): Amount {
  const amountMm = inputs.amountMm;
  if (!Number.isFinite(amountMm) || amountMm < 0)
    return { amountMm: null, sdMm: null, rulesMm: null, missing: 'enamel taken in all, 0 or more' };
  return { amountMm, sdMm: ownSdMm ?? 0, rulesMm: [amountMm, amountMm], missing: null };
}

function ruleAmount(
  choice: AlternativeChoice,
  way: AlternativeWay,
  { jaw, measures }: AlternativesContext,
): Amount {
  const allowance = { kind: way.kind as AllowanceKind, rule: way.id, inputs: choice.inputs };
  const { amountMm, sdMm, missing } = allowanceAmount(allowance, jaw, measures ?? null);
  if (amountMm === null) return { amountMm, sdMm, rulesMm: null, missing };
  const { values } = ruleInputs(allowanceRule(way.id)!, choice.inputs, measures ?? null);
  const inputs = Object.fromEntries(Object.entries(values).map(([name, { value }]) => [name, value]));
  return {
    amountMm,
    sdMm: choice.ownSdMm ?? sdMm,
    rulesMm: rulesRangeMm(way, inputs, jaw),
    missing: null,
  };
}

function beyondOf(amountMm: number, way: AlternativeWay, context: AlternativesContext): string | null {
  if (way.id === REDUCTION_WAY)
    return amountMm > context.enamelMostMm + 1e-9
      ? `more than the ${context.enamelMostMm.toFixed(1)} mm that the limits of this arch allow`
      : null;
  if (way.ceiling && amountMm > way.ceiling.mostMm + 1e-9)
    return `more than the ${way.ceiling.mostMm} mm beyond which the source does not go (${way.ceiling.source.text})`;
  return null;
}

function doubleCounts(choices: readonly AlternativeChoice[], ledger: Ledger | null): readonly string[] {
  const kinds = choices.map(({ way }) => allowanceRule(way)?.kind ?? null);
  const has = (kind: AllowanceKind) => kinds.includes(kind);
  const out: string[] = [];
  for (const kind of new Set(kinds)) {
    if (kind === null || kind === 'extraction' || kind === 'molar-movement') continue;
    if (kinds.filter((other) => other === kind).length > 1)
      out.push(`Two rules for ${KIND_WORDS[kind]}: the same change may be counted twice.`);
    if (ledger?.entries.some((entry) => entry.id.startsWith(kind) && (entry.amountMm ?? 0) !== 0))
      out.push(`The space account has an entry for ${KIND_WORDS[kind]} already: this comes on top of it.`);
  }
  if (has('incisor-position') && has('incisor-inclination'))
    out.push('Incisor position and inclination may be two names for one movement: count it once.');
  if (choices.some(({ way }) => way === 'extraction') && choices.some(({ way }) => way === REDUCTION_WAY))
    out.push('A tooth taken out gives no enamel: leave its contacts out of the reduction.');
  return out;
}

const KIND_WORDS: Readonly<Record<AllowanceKind, string>> = {
  spee: 'levelling',
  'incisor-position': 'incisor position',
  'incisor-inclination': 'incisor inclination',
  'arch-width': 'arch width',
  'molar-movement': 'molar movement',
  extraction: 'extraction or build-up',
  other: 'another allowance',
};

/** A set of teeth that could be taken out and the width it would free; for the inputs of the extraction rule. */
export interface ExtractionSet {
  readonly teeth: readonly Tooth[];
  readonly widthMm: number;
  readonly sdMm: number;
  readonly leftOverMm: number; // width freed beyond the shortage, before anchorage is lost; negative: not enough
}

/**
 * Teeth commonly taken out for space whose widths are known: one lower incisor, both first or both second premolars.
 * Units: mm. A list, no advice; a set with a width missing is left out.
 */
export function extractionSets(
  jaw: Jaw,
  widths: readonly ToothWidth[],
  shortageMm: number,
): readonly ExtractionSet[] {
  const [right, left] = jaw === 'upper' ? [10, 20] : [40, 30];
  const sets: (readonly Tooth[])[] = [
    ...(jaw === 'lower' ? [[42], [41], [31], [32]] : []),
    [right + 4, left + 4],
    [right + 5, left + 5],
  ];
  return sets.flatMap((teeth) => {
    const known = teeth.map((tooth) => widths.find((width) => width.tooth === tooth));
    if (known.some((width) => width === undefined)) return [];
    const widthMm = known.reduce((sum, width) => sum + width!.widthMm, 0);
    const sdMm = Math.hypot(...known.map((width) => width!.sdMm));
    return [{ teeth, widthMm, sdMm, leftOverMm: widthMm - shortageMm }];
  });
}
