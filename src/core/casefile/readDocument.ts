import type { z } from 'zod';
import { Refusal } from '../base/refusal.ts';
import type { ReductionPlan, ReductionRequest } from '../reduction/ReductionPlan.ts';
import { readReductionRequest, reductionRequestSchema } from '../reduction/requestSchema.ts';
import type { StudyFile } from '../study/StudyFile.ts';
import type { CaseDocument } from './CaseDocument.ts';
import { caseSchema } from './caseSchema.ts';
import { jsonFault } from './jsonFault.ts';
import { type MarksFile, marksSchema } from './marksFile.ts';
import { type MeasurementFile, measurementSchema } from './measurementSchema.ts';
import { reductionPlanSchema } from './reductionPlanSchema.ts';
import { studySchema } from './studySchema.ts';

/** Every kind of document that can be read and written, at the version this program writes. */
export interface DocumentKinds {
  readonly case: CaseDocument;
  readonly marks: MarksFile;
  readonly measurement: MeasurementFile;
  readonly 'reduction-request': ReductionRequest;
  readonly 'reduction-plan': ReductionPlan;
  readonly study: StudyFile;
}

export type DocumentKind = keyof DocumentKinds;

const KNOWN: {
  readonly [K in DocumentKind]: { readonly version: number; schema: z.ZodType<DocumentKinds[K]> };
} = {
  case: { version: 1, schema: caseSchema },
  marks: { version: 1, schema: marksSchema },
  measurement: { version: 1, schema: measurementSchema },
  'reduction-request': { version: 1, schema: reductionRequestSchema },
  'reduction-plan': { version: 1, schema: reductionPlanSchema },
  study: { version: 1, schema: studySchema },
};

const FILE_LEFT = 'The file was left as it is.';

/**
 * A saved document, checked to the last field.
 *
 * Refuses:  as `parsedJson`; 'schema-unknown' (not this kind), 'schema-newer' (of a later version),
 *           'field-invalid' (a field missing, unknown or out of range, with its path; a reduction request
 *           refuses with 'request-invalid' instead).
 * Accuracy: every damage of every field is refused with its path — tests/core/casefile/readDocument.test.ts.
 */
export const readDocument = <K extends DocumentKind>(text: string, expectedKind: K): DocumentKinds[K] =>
  checkedDocument(parsedJson(text, expectedKind), expectedKind);

/**
 * The value a JSON text holds; `what` names the file in the refusal.
 * Refuses: 'json-invalid' (not JSON, with line and column; or a repeated or forbidden name), 'file-too-large'.
 */
export function parsedJson(text: string, what: string): unknown {
  const json = text.startsWith('\uFEFF') ? text.slice(1) : text;
  const fault = jsonFault(json);
  if (!fault) return JSON.parse(json);
  const where = `line ${fault.line}, column ${fault.column}`;
  throw new Refusal(
    fault.kind === 'too-large' ? 'file-too-large' : 'json-invalid',
    `readDocument: this is not a ${what} file that can be read; got a fault at ${where} (${fault.what}), need whole JSON. Restore it from a copy. ${FILE_LEFT}`,
    { line: fault.line, column: fault.column, what: fault.what },
  );
}

/** A value that claims to be a document of `kind`, checked like a file; refuses as `readDocument` does. */
export function checkedDocument<K extends DocumentKind>(value: unknown, kind: K): DocumentKinds[K] {
  if (kind === 'reduction-request') return readReductionRequest(value) as DocumentKinds[K];
  checkSchemaName(value, kind);
  const result = KNOWN[kind].schema.safeParse(value);
  if (result.success) return result.data;
  const [first] = result.error.issues;
  const { path, need } = faultOf(first);
  const got = shownValue(valueAt(value, path));
  const more = result.error.issues.length > 1 ? ` (and ${result.error.issues.length - 1} more)` : '';
  throw new Refusal(
    'field-invalid',
    `readDocument: ${pathText(path)} is not right${more}; got ${got}, need ${need}. Restore the ${kind} file from a copy. ${FILE_LEFT}`,
    { path: pathText(path), got, need },
  );
}

function checkSchemaName(value: unknown, kind: DocumentKind): void {
  const need = `archledger/${kind}@${KNOWN[kind].version}`;
  const name =
    typeof value === 'object' && value !== null && Object.hasOwn(value, 'schema')
      ? (value as { schema: unknown }).schema
      : undefined;
  const match = typeof name === 'string' ? /^archledger\/([a-z-]+)@(\d{1,6})$/.exec(name) : null;
  if (match?.[1] === kind && Number(match[2]) > KNOWN[kind].version)
    throw new Refusal(
      'schema-newer',
      `readDocument: the file was written by a newer version; got ${shownValue(name)}, need "${need}". Update Archledger, then open it again. ${FILE_LEFT}`,
      { got: name, need },
    );
  if (name !== need)
    throw new Refusal(
      'schema-unknown',
      `readDocument: this is not a ${kind} file; got ${name === undefined ? 'no schema name' : `schema ${shownValue(name)}`}, need "${need}". Choose a ${kind} file. ${FILE_LEFT}`,
      { got: shownValue(name), need },
    );
}

type Path = readonly PropertyKey[];

/** What an issue of the schema library means in our words: where, and what was needed there. */
function faultOf(issue: z.core.$ZodIssue): { readonly path: Path; readonly need: string } {
  const { path } = issue;
  switch (issue.code) {
    case 'unrecognized_keys':
      return { path: [...path, issue.keys[0]], need: 'no field of that name' };
    case 'invalid_type':
      return { path, need: NEEDED_TYPES[issue.expected] ?? `a ${issue.expected}` };
    case 'invalid_value':
      return { path, need: issue.values.map((v) => JSON.stringify(v)).join(' or ') };
    case 'too_small':
      return {
        path,
        need: `${sizeWord(issue.origin)}${issue.inclusive ? 'at least' : 'more than'} ${issue.minimum}`,
      };
    case 'too_big':
      return {
        path,
        need: `${sizeWord(issue.origin)}${issue.inclusive ? 'at most' : 'less than'} ${issue.maximum}`,
      };
    case 'invalid_format':
      return { path, need: issue.format === 'datetime' ? 'a time like 2025-01-31T09:00:00Z' : issue.message };
    case 'invalid_key':
      return { path, need: issue.issues[0]?.message ?? 'a plain name' };
    default:
      return { path, need: issue.message };
  }
}

const NEEDED_TYPES: Readonly<Record<string, string>> = {
  number: 'a finite number',
  int: 'a whole number',
  string: 'a text',
  object: 'an object { … }',
  record: 'an object { … }',
  array: 'a list [ … ]',
  tuple: 'a list [ … ] of fixed length',
};

const sizeWord = (origin: string): string =>
  origin === 'array' || origin === 'tuple'
    ? 'a list of length '
    : origin === 'string'
      ? 'a text of length '
      : '';

function valueAt(value: unknown, path: Path): unknown {
  let at: unknown = value;
  for (const step of path) {
    if (typeof at !== 'object' || at === null || !Object.hasOwn(at, step)) return undefined;
    at = (at as Record<PropertyKey, unknown>)[step];
  }
  return at;
}

const pathText = (path: Path): string =>
  path
    .map((step) => (typeof step === 'number' ? `[${step}]` : `.${String(step).slice(0, 60)}`))
    .join('')
    .replace(/^\./, '') || 'the document';

function shownValue(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object' && value !== null) return 'an object';
  if (typeof value === 'string' && value.length > 60) return `${JSON.stringify(value.slice(0, 60))}…`;
  return typeof value === 'number' ? String(value) : JSON.stringify(value);
}
