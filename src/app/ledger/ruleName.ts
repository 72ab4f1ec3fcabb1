import type { AllowanceRule } from '../../core/space/allowanceRules.ts';

/** A rule's title without the name of its kind, for a table that has it already. */
export function ruleName({ title }: Pick<AllowanceRule, 'title'>): string {
  const short = title.replace(
    /^(Levelling the curve of Spee, |Arch width, |Arch width across people, |Incisors tipped: |Lower incisors uprighted or tipped, |Incisors moved forward or back: |First molars moved: )/,
    '',
  );
  return short.charAt(0).toUpperCase() + short.slice(1);
}
