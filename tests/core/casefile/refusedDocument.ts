import { Refusal } from '../../../src/core/base/refusal.ts';
import { caseJson } from '../../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import { fullCase } from './arbitraryCase.ts';

export type Json = null | boolean | number | string | Json[] | { [key: string]: Json };

/** The full case as bare JSON, to be damaged. */
export const plainCase = (): Json => JSON.parse(caseJson(fullCase())) as Json;

/** The refusal a text is met with; a text that is accepted is a failure. */
export function refusalOf(text: string): Refusal {
  try {
    readDocument(text, 'case');
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error(`accepted: ${text.slice(0, 200)}`);
}
