import { checkedDocument, readDocument } from '../core/casefile/readDocument.ts';
import { cautionsAt } from '../core/reduction/cautions.ts';
import { planReduction } from '../core/reduction/planReduction.ts';
import type { ReductionPlan } from '../core/reduction/ReductionPlan.ts';
import type { MidlineWish } from '../core/reduction/sidesInBalance.ts';
import { type Command, UsageError } from './Command.ts';
import { commandWords } from './commandWords.ts';
import { fileText } from './readFile.ts';

/**
 * `plan REQUEST.json`: the reduction plan of one arch, `reduction-plan@1`. A shortfall is a plan, not an error.
 * `--shift-right MM` moves the middle of the arch so far to the patient's right (negative: left) as the need and its
 * limits allow; 0 asks for the same on both sides.
 *
 * Refuses:  'file-access', 'file-too-large', 'json-invalid' and as `readReductionRequest`, naming the field.
 */
export const planCommand: Command = async (words, { progress }): Promise<ReductionPlan> => {
  const { positionals, values } = commandWords(words, { 'shift-right': { type: 'string' } }, [
    'REQUEST.json',
  ]);
  const shift = values['shift-right'];
  const midline = shift === undefined ? null : wish(shift);
  const request = readDocument(await fileText(positionals[0]), 'reduction-request');
  const plan = checkedDocument(planReduction(request, { midline }), 'reduction-plan');
  for (const { text } of cautionsAt('plan')) progress(text);
  return plan;
};

function wish(text: string): MidlineWish {
  const shiftToRightMm = Number(text);
  if (text.trim() === '' || !Number.isFinite(shiftToRightMm))
    throw new UsageError(`--shift-right: "${text}" is no number of millimetres`);
  return { shiftToRightMm, toleranceMm: 0 };
}
