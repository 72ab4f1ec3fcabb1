import { checkedDocument, type DocumentKind, type DocumentKinds } from './readDocument.ts';

/**
 * A document as the text of its file: two spaces a level, one order of fields whatever order they were set
 * in, a line end last. Checked as on reading, so what is written can be read again; refuses as `checkedDocument`.
 */
export function documentJson<K extends DocumentKind>(document: DocumentKinds[K], kind: K): string {
  return `${JSON.stringify(checkedDocument(document, kind), sortedRecords, 2)}\n`;
}

/** The fields of a case in the order of its schema; see documentJson. */
export const caseJson = (document: DocumentKinds['case']): string => documentJson(document, 'case');

/** The only free-form record is an allowance's `inputs`; its names are put in alphabetical order. */
function sortedRecords(key: string, value: unknown): unknown {
  if (key !== 'inputs' || typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}
