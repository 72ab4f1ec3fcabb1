import { checkedDocument, readDocument } from '../core/casefile/readDocument.ts';
import { cautionsAt } from '../core/reduction/cautions.ts';
import { planReduction } from '../core/reduction/planReduction.ts';
import type { ReductionPlan } from '../core/reduction/ReductionPlan.ts';
import type { Command } from './Command.ts';
import { commandWords } from './commandWords.ts';
import { fileText } from './readFile.ts';

/**
 * `plan REQUEST.json`: the reduction plan of one arch, `reduction-plan@1`. A shortfall is a plan, not an error.
 *
 * Refuses:  'file-access', 'file-too-large', 'json-invalid' and as `readReductionRequest`, naming the field.
 */
export const planCommand: Command = async (words, { progress }): Promise<ReductionPlan> => {
  const { positionals } = commandWords(words, {}, ['REQUEST.json']);
  const request = readDocument(await fileText(positionals[0]), 'reduction-request');
  const plan = checkedDocument(planReduction(request), 'reduction-plan');
  for (const { text } of cautionsAt('plan')) progress(text);
  return plan;
};
