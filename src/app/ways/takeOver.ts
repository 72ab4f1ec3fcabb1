import { allowanceRule } from '../../core/space/allowanceRules.ts';
import type { AlternativeChoice } from '../../core/space/alternatives.ts';
import type { Allowance } from '../../core/space/Ledger.ts';

/**
 * Choices as allowances of the account. Enamel reduction is none: what the account is short of is what the plan is
 * asked for, so it would count twice.
 */
export function allowancesOf(choices: readonly AlternativeChoice[]): readonly Allowance[] {
  return choices.flatMap(({ way, inputs, ownSdMm }): Allowance[] => {
    const rule = allowanceRule(way);
    if (!rule) return [];
    const known = Object.entries(inputs).filter(([name]) => rule.inputs.some((input) => input.name === name));
    return [
      {
        kind: rule.kind,
        rule: rule.id,
        inputs: Object.fromEntries(known),
        ...(ownSdMm === undefined ? {} : { ownSdMm }),
      },
    ];
  });
}
