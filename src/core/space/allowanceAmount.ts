import type { Source } from '../base/Source.ts';
import type { Jaw } from '../base/tooth.ts';
import type { ArchMeasures } from '../measure/ArchMeasures.ts';
import { type AllowanceRule, allowanceRule, allowanceRulesOf, ruleInputs } from './allowanceRules.ts';
import type { Allowance, AllowanceKind } from './Ledger.ts';

export interface AllowanceAmount {
  readonly what: string;
  readonly amountMm: number | null; // positive adds space
  readonly sdMm: number | null;
  readonly missing: string | null;
  readonly source: Source;
  readonly note: string | null;
}

export const ALLOWANCE_TITLES: Readonly<Record<AllowanceKind, string>> = {
  spee: 'Levelling the curve of Spee',
  'incisor-position': 'Incisor position',
  'incisor-inclination': 'Incisor inclination',
  'arch-width': 'Arch width',
  'molar-movement': 'Molar movement',
  extraction: 'Extraction or build-up',
  other: 'Other allowance',
};

const OWN: Source = { standing: 'user', text: 'figure entered by hand' };
const SLOPE_STEP = 1e-4;

/**
 * One allowance in mm of space, positive where it adds space: by its rule, or the user's own figure.
 *
 * Units:    mm (and rad for angles) in, mm out; SD from the measured inputs, as no rule prints its own, or the user's.
 * Missing:  an input neither typed nor measured, or an unknown rule, gives null and says what is wanting.
 */
export function allowanceAmount(
  allowance: Allowance,
  jaw: Jaw,
  measures: ArchMeasures | null = null,
): AllowanceAmount {
  const title = ALLOWANCE_TITLES[allowance.kind];
  if (allowance.rule === 'own') {
    const known = allowance.ownMm !== undefined && Number.isFinite(allowance.ownMm);
    return {
      what: title,
      amountMm: known ? allowance.ownMm! : null,
      sdMm: known ? (allowance.ownSdMm ?? 0) : null,
      missing: known ? null : `own figure for ${lowerFirst(title)}`,
      source: OWN,
      note: null,
    };
  }
  const rule = allowanceRule(allowance.rule);
  if (!rule || rule.kind !== allowance.kind) {
    const missing = `a known rule for ${lowerFirst(title)} (“${allowance.rule}” is none)`;
    return { what: title, amountMm: null, sdMm: null, missing, source: OWN, note: null };
  }
  const { values, absent } = ruleInputs(rule, allowance.inputs, measures);
  const common = { what: rule.title, source: rule.source, note: rule.note };
  if (absent.length > 0)
    return { ...common, amountMm: null, sdMm: null, missing: absent.map((input) => input.what).join(', ') };
  const found = evaluate(rule, values, jaw);
  return { ...common, ...found, sdMm: allowance.ownSdMm ?? found.sdMm, missing: null };
}

/** What one rule of a kind would give for the same inputs, beside the one in use. */
export interface RuleAlternative {
  readonly rule: AllowanceRule;
  readonly amountMm: number | null;
  readonly sdMm: number | null;
  readonly missing: string | null;
  readonly isChosen: boolean;
  readonly differenceMm: number | null; // from the allowance as it stands
}

/**
 * Every published rule of an allowance's kind with what it would give now: from the inputs typed for it, else from the
 * measures. Units: mm.
 */
export function rulesSideBySide(
  allowance: Allowance,
  jaw: Jaw,
  measures: ArchMeasures | null = null,
): readonly RuleAlternative[] {
  const now = allowanceAmount(allowance, jaw, measures).amountMm;
  return allowanceRulesOf(allowance.kind).map((rule) => {
    const { amountMm, sdMm, missing } = allowanceAmount({ ...allowance, rule: rule.id }, jaw, measures);
    return {
      rule,
      amountMm,
      sdMm,
      missing,
      isChosen: rule.id === allowance.rule,
      differenceMm: amountMm === null || now === null ? null : amountMm - now,
    };
  });
}

function evaluate(
  rule: AllowanceRule,
  inputs: Readonly<Record<string, { readonly value: number; readonly sd: number }>>,
  jaw: Jaw,
): { readonly amountMm: number; readonly sdMm: number } {
  const at = (name: string | null, shift: number): number =>
    rule.amountMm(
      Object.fromEntries(Object.entries(inputs).map(([k, x]) => [k, x.value + (k === name ? shift : 0)])),
      jaw,
    );
  const slopes = Object.keys(inputs).map(
    (name) => (at(name, SLOPE_STEP) - at(name, -SLOPE_STEP)) / (2 * SLOPE_STEP),
  );
  const sds = Object.values(inputs).map((input) => input.sd);
  return { amountMm: at(null, 0), sdMm: Math.hypot(...slopes.map((slope, i) => slope * sds[i])) };
}

const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
