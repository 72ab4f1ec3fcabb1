/** Every way the user's data can be refused; each has a row in DEVELOPERS.md. */
export type RefusalCode =
  // scan files
  | 'file-access'
  | 'file-empty'
  | 'format-unknown'
  | 'file-truncated'
  | 'count-mismatch'
  | 'number-invalid'
  | 'index-out-of-range'
  | 'header-invalid'
  | 'no-triangles'
  | 'file-too-large'
  // units and arch frame
  | 'unit-implausible'
  | 'not-an-arch'
  // marks and measures
  | 'no-surface-near'
  | 'too-few-marks'
  | 'marks-coincide'
  | 'tooth-unknown'
  | 'jaw-mismatch'
  // follow-up scans
  | 'nothing-to-compare'
  | 'scans-unlike'
  // plans
  | 'request-invalid'
  // studies and batches
  | 'too-few-pairs'
  | 'too-many-pairs'
  | 'no-variation'
  | 'table-invalid'
  | 'column-unknown'
  | 'manifest-invalid'
  | 'batch-mixed'
  // saved files
  | 'json-invalid'
  | 'schema-unknown'
  | 'schema-newer'
  | 'field-invalid'
  | 'scan-mismatch'
  // life
  | 'worker-died'
  | 'cancelled'
  | 'scan-not-open'
  | 'storage-failed';

/**
 * A refusal of the user's data: something they can mend. Anything else thrown is a bug.
 * Message form: `function: what is wrong; got X, need Y. What to do.`
 */
export class Refusal extends Error {
  readonly code: RefusalCode;
  readonly detail: Readonly<Record<string, unknown>>;
  constructor(code: RefusalCode, message: string, detail: Readonly<Record<string, unknown>> = {}) {
    super(message);
    this.name = 'Refusal';
    this.code = code;
    this.detail = detail;
  }
}

/** A result that can cross a worker border: refusals travel as values, never as thrown errors. */
export type Outcome<T> =
  | { readonly ok: true; readonly value: T }
  | {
      readonly ok: false;
      readonly code: RefusalCode;
      readonly message: string;
      readonly detail: Readonly<Record<string, unknown>>;
    };
