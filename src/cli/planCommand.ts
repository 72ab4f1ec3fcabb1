import { checkedDocument, readDocument } from '../core/casefile/readDocument.ts';
import { cautionsAt } from '../core/reduction/cautions.ts';
import { planReduction } from '../core/reduction/planReduction.ts';
import type { ReductionPlan } from '../core/reduction/ReductionPlan.ts';
import type { MidlineWish } from '../core/reduction/sidesInBalance.ts';
import { type Command, UsageError } from './Command.ts';
import { commandWords } from './commandWords.ts';
import type { CasePlans } from './planCase.ts';
import { fileText } from './readFile.ts';

/**
 * `plan REQUEST.json`: the reduction plan of one arch, `reduction-plan@1`. A shortfall is a plan, not an error.
 * `--shift-right MM` moves the middle of the arch so far to the patient's right (negative: left) as the need and its
 * limits allow; 0 asks for the same on both sides.
 * `plan --case CASE.json`: the plans of a case's arches, together where the case says so.
 *
 * Refuses:  'file-access', 'file-too-large', 'json-invalid' and as `readReductionRequest`, naming the field; for a case
 *           as `readDocument` and `casePlans`.
 */
export const planCommand: Command = async (words, { progress }): Promise<ReductionPlan | CasePlans> => {
  const options = { 'shift-right': { type: 'string' }, case: { type: 'boolean' } } as const;
  const { positionals, values } = commandWords(words, options, [
    words.includes('--case') ? 'CASE.json' : 'REQUEST.json',
  ]);
  const shift = values['shift-right'];
  if (values.case && shift !== undefined)
    throw new UsageError('--shift-right goes with a request; a case has its own wish');
  const midline = shift === undefined ? null : wish(shift);
  const text = await fileText(positionals[0]);
  const caution = (): void => {
    for (const caution of cautionsAt('plan')) progress(caution.text);
  };
  if (values.case) {
    const { casePlans } = await import('./planCase.ts');
    const plans = await casePlans(readDocument(text, 'case'));
    caution();
    return plans;
  }
  const request = readDocument(text, 'reduction-request');
  const plan = checkedDocument(planReduction(request, { midline }), 'reduction-plan');
  caution();
  return plan;
};

function wish(text: string): MidlineWish {
  const shiftToRightMm = Number(text);
  if (text.trim() === '' || !Number.isFinite(shiftToRightMm))
    throw new UsageError(`--shift-right: "${text}" is no number of millimetres`);
  return { shiftToRightMm, toleranceMm: 0 };
}
