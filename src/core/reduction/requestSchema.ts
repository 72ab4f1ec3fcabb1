import { z } from 'zod';
import { Refusal } from '../base/refusal.ts';
import { archPlace, type Contact, isTooth, jawOf, type Tooth } from '../base/tooth.ts';
import { sameTeeth } from './contactOrder.ts';
import type { ReductionRequest } from './ReductionPlan.ts';

// Without this zod tries to compile code at run time, which a strict content security policy reports.
z.config({ jitless: true });

const LENGTH_MAX_MM = 10; // no crown bears more; a larger figure is a slip of the decimal point
const NEEDED_MAX_MM = 200;
const STEP_MIN_MM = 0.001; // finer than any gauge
export const VISITS_MAX = 60;
const CONTACTS_MAX = 32;
/** Two teeth with more than this many absent teeth between them do not touch: there is no contact to reduce. */
export const ABSENT_BETWEEN_MAX = 1;

const bounded = (low: number, high: number, need: string) =>
  z.number({ error: need }).min(low, { error: need }).max(high, { error: need });
const lengthMm = bounded(0, LENGTH_MAX_MM, `a length from 0 to ${LENGTH_MAX_MM} mm`);
const visitNumber = (need: string) =>
  z.int({ error: need }).min(1, { error: need }).max(VISITS_MAX, { error: need });
const pair = 'a list of exactly two entries';
const tooth = z
  .number({ error: 'an ISO 3950 tooth number' })
  .refine(isTooth, { error: 'an ISO 3950 tooth number' });
const risk = 'a number from 0 to 1';
const step = `a length from ${STEP_MIN_MM} to ${LENGTH_MAX_MM} mm`;

export const REDUCTION_REQUEST_SCHEMA = 'archledger/reduction-request@1';

const requestContactSchema = z.strictObject(
  {
    teeth: z.tuple([tooth, tooth], { error: pair }),
    limitMm: lengthMm,
    surfaceLimitsMm: z.tuple([lengthMm, lengthMm], { error: pair }),
    locked: z.boolean({ error: 'true or false' }),
    reachableFromVisit: visitNumber(`a visit number from 1 to ${VISITS_MAX}`),
  },
  { error: 'an object' },
);

/** `reduction-request@1`, strict; `readReductionRequest` turns what it finds into a refusal. */
export const reductionRequestSchema: z.ZodType<ReductionRequest> = z
  .strictObject(
    {
      schema: z.literal(REDUCTION_REQUEST_SCHEMA),
      jaw: z.enum(['upper', 'lower'], { error: '"upper" or "lower"' }),
      neededMm: bounded(
        -NEEDED_MAX_MM,
        NEEDED_MAX_MM,
        `a length from −${NEEDED_MAX_MM} to ${NEEDED_MAX_MM} mm`,
      ),
      neededSdMm: bounded(0, NEEDED_MAX_MM, `a length from 0 to ${NEEDED_MAX_MM} mm`),
      stepMm: bounded(STEP_MIN_MM, LENGTH_MAX_MM, step),
      overshootRisk: bounded(0, 1, risk),
      visits: visitNumber(`a whole number from 1 to ${VISITS_MAX}`),
      perVisitLimitMm: bounded(0, 1000, 'a length from 0 to 1000 mm'),
      contacts: z
        .array(requestContactSchema, { error: 'a list of contacts' })
        .max(CONTACTS_MAX, { error: `at most ${CONTACTS_MAX} contacts` }),
    },
    { error: 'an object' },
  )
  .superRefine((request, context) => {
    const teeth = request.contacts.map((contact) => contact.teeth);
    for (const [i, contact] of teeth.entries()) {
      const first = teeth.findIndex((other) => sameTeeth(other, contact));
      const fault = contact.some((t) => jawOf(t) !== request.jaw)
        ? `two teeth of the ${request.jaw} jaw`
        : (contactFault(contact, teeth.flat()) ??
          (first < i ? `a contact not yet listed (it repeats contacts[${first}])` : null));
      if (fault) context.addIssue({ code: 'custom', path: ['contacts', i, 'teeth'], message: fault });
    }
  });

/** Why two teeth cannot be neighbours among the teeth named, or null. */
function contactFault([a, b]: Contact, named: readonly Tooth[]): string | null {
  if (archPlace(a) === archPlace(b)) return 'two different neighbours';
  const twin = named.find(
    (t) => (t !== a && archPlace(t) === archPlace(a)) || (t !== b && archPlace(t) === archPlace(b)),
  );
  if (twin !== undefined) return `one tooth in each place (${twin} stands in the same place)`;
  const [low, high] = [archSlot(a), archSlot(b)].sort((p, q) => p - q);
  const between = named.find((t) => archSlot(t) > low && archSlot(t) < high);
  if (between !== undefined) return `two neighbours (${between} stands between them)`;
  if (high - low > ABSENT_BETWEEN_MAX + 1)
    return `two neighbours (at most ${ABSENT_BETWEEN_MAX} absent tooth between them)`;
  return null;
}

/** Places along the arch as consecutive whole numbers, the midline lying between −1 and 0. */
export const archSlot = (t: Tooth): number => (archPlace(t) > 0 ? archPlace(t) - 1 : archPlace(t));

/**
 * A reduction request from parsed JSON, checked field by field.
 *
 * Refuses: 'schema-unknown' (another kind of file, or none named), 'schema-newer', 'request-invalid' (an unknown
 *          or missing field, a wrong type or size, a contact repeated, of the other jaw or between teeth that
 *          are no neighbours); the message and `detail.field` name the field.
 */
export function readReductionRequest(value: unknown): ReductionRequest {
  checkSchemaName(value);
  const result = reductionRequestSchema.safeParse(value);
  if (result.success) return result.data;
  const { field, need, got } = firstFault(result.error.issues[0], value);
  throw new Refusal(
    'request-invalid',
    `readReductionRequest: ${field} is not valid; got ${got}, need ${need}. Correct the field and ask again.`,
    { field, faults: result.error.issues.length },
  );
}

function checkSchemaName(value: unknown): void {
  const isObject = typeof value === 'object' && value !== null && !Array.isArray(value);
  const named = isObject ? (value as Record<string, unknown>).schema : undefined;
  const version = typeof named === 'string' ? /^archledger\/reduction-request@(\d{1,6})$/.exec(named) : null;
  if (named === REDUCTION_REQUEST_SCHEMA) return;
  const newer = version !== null && Number(version[1]) > 1;
  throw new Refusal(
    newer ? 'schema-newer' : 'schema-unknown',
    `readReductionRequest: ${newer ? 'the request is of a newer version' : 'not a reduction request'}; got ${
      isObject ? `schema ${shown(named)}` : shown(value)
    }, need schema "${REDUCTION_REQUEST_SCHEMA}". ${newer ? 'Use a newer version of this program.' : 'Name the schema in the file.'}`,
    { field: 'schema' },
  );
}

function firstFault(issue: z.core.$ZodIssue, value: unknown): { field: string; need: string; got: string } {
  let path = issue.path;
  let need = issue.message;
  if (issue.code === 'unrecognized_keys') {
    path = [...path, issue.keys[0]];
    need = 'no field of that name';
  }
  let got: unknown = value;
  for (const key of path) got = (got as Record<PropertyKey, unknown> | undefined)?.[key];
  const field = path.map(shownKey).join('').replace(/^\./, '');
  return { field: field || 'the request', need, got: shown(got) };
}

/** One step of a path as it may stand in a message: a name is put in quotes unless it is a plain word. */
function shownKey(key: PropertyKey): string {
  if (typeof key === 'number') return `[${key}]`;
  const name = String(key);
  return /^\w{1,40}$/.test(name) ? `.${name}` : `.${shown(name)}`;
}

/** A value as it may stand in a message: short, on one line. */
function shown(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (typeof value === 'number') return String(value);
  const text = JSON.stringify(value) ?? String(value);
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}
