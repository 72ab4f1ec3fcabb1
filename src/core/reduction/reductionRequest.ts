import { Refusal } from '../base/refusal.ts';
import {
  type Contact,
  contactsOf,
  type Jaw,
  jawOf,
  positionOf,
  siteFacing,
  type Tooth,
} from '../base/tooth.ts';
import type { Ledger } from '../space/Ledger.ts';
import { sameTeeth } from './contactOrder.ts';
import { DEFAULT_CONTACT_LIMIT_MM, defaultSurfaceLimitMm } from './enamel.ts';
import type { ReductionRequest, RequestContact } from './ReductionPlan.ts';
import { ABSENT_BETWEEN_MAX, archSlot, REDUCTION_REQUEST_SCHEMA } from './requestSchema.ts';
import { tidyMm } from './stepAmounts.ts';

/** What the user set for a plan; a case's plan settings are of this shape. */
export interface ReductionSettings {
  readonly neededMm: number | null; // null: from the ledger
  readonly stepMm: number;
  readonly overshootRisk: number;
  readonly visits: number;
  readonly perVisitLimitMm: number;
  readonly contacts: readonly ContactChoice[]; // only contacts that differ from the defaults
}

export interface ContactChoice {
  readonly teeth: Contact;
  readonly limitMm: number | null;
  readonly limitReason: string;
  readonly surfaceLimitsMm: readonly [number | null, number | null];
  readonly earlierReductionMm: readonly [number, number];
  /** Thickness of the untouched enamel as read on a radiograph; absent or null: the published mean. */
  readonly enamelMm?: readonly [number | null, number | null];
  readonly lock: 'restoration' | 'implant' | 'caries-risk' | 'refused' | 'other' | null;
  readonly reachableFromVisit: number;
}

export interface RequestInput {
  readonly jaw: Jaw;
  readonly ledger: Ledger | null; // may be null where the settings give a figure of their own
  readonly settings: ReductionSettings;
  readonly present: readonly Tooth[]; // erupted teeth standing in the arch, of either kind
}

/** How the limits of one contact came about; for display and print. */
export interface ContactLimits {
  readonly teeth: Contact;
  readonly limitMm: number;
  readonly limitFrom: 'default' | 'user';
  readonly surfacesMm: readonly [number, number];
  readonly surfaceFrom: readonly [SurfaceLimitFrom, SurfaceLimitFrom];
  /** What earlier treatment took, and the thickness read on a radiograph, where there is one. */
  readonly earlierMm: readonly [number, number];
  readonly radiographMm: readonly [number | null, number | null];
  /** What the limits would be without the user's choice; earlier treatment counted. */
  readonly usualLimitMm: number;
  readonly usualSurfacesMm: readonly [number, number];
  /** Stricter of the two, which then decides the capacity. */
  readonly stricter: 'contact' | 'surfaces';
  readonly exceedsDefault: boolean; // on purpose, with `reason`
  readonly reason: string;
  readonly reasonMissing: boolean; // a higher limit was asked for without a reason and is not used
  readonly lock: ContactChoice['lock'];
}

export type SurfaceLimitFrom =
  | 'half-enamel'
  | 'half-enamel-less-earlier'
  | 'half-radiograph' // less what was taken earlier
  | 'user'
  | 'no-published-value';

export interface BuiltRequest {
  readonly request: ReductionRequest;
  readonly limits: readonly ContactLimits[]; // same order as the request's contacts
  readonly left: readonly { readonly teeth: Contact; readonly why: 'gap-too-wide' | 'behind-first-molar' }[];
}

/** Contacts behind the first molars give no space between them and are left out. */
const LAST_POSITION = 6;

/**
 * The request for an arch from its space account and the user's settings.
 *
 * Shape:    contacts from first molar to first molar, right to left. A limit above its default counts only
 *           with a reason; without one the default holds and `reasonMissing` says so. A thickness read on a
 *           radiograph takes the place of the published mean. A typed surface limit stands as it is: what earlier
 *           treatment took is not counted against it.
 * Refuses:  'request-invalid' when the account is not complete and no figure is set; the message says what is missing.
 */
export function reductionRequest({ jaw, ledger, settings, present }: RequestInput): BuiltRequest {
  const neededMm = settings.neededMm ?? shortageMm(ledger);
  const left: { teeth: Contact; why: 'gap-too-wide' | 'behind-first-molar' }[] = [];
  const limits: ContactLimits[] = [];
  const contacts: RequestContact[] = [];
  for (const teeth of contactsOf(present.filter((tooth) => jawOf(tooth) === jaw))) {
    const absent = Math.abs(archSlot(teeth[1]) - archSlot(teeth[0])) - 1;
    if (teeth.some((tooth) => positionOf(tooth) > LAST_POSITION)) {
      left.push({ teeth, why: 'behind-first-molar' });
    } else if (absent > ABSENT_BETWEEN_MAX || absent < 0) {
      left.push({ teeth, why: 'gap-too-wide' });
    } else {
      const choice = settings.contacts.find((c) => sameTeeth(c.teeth, teeth));
      const found = contactLimits(teeth, choice);
      limits.push(found);
      contacts.push({
        teeth,
        limitMm: found.limitMm,
        surfaceLimitsMm: found.surfacesMm,
        locked: found.lock !== null,
        reachableFromVisit: choice?.reachableFromVisit ?? 1,
      });
    }
  }
  const { stepMm, overshootRisk, visits, perVisitLimitMm } = settings;
  const request: ReductionRequest = {
    schema: REDUCTION_REQUEST_SCHEMA,
    jaw,
    neededMm: tidyMm(neededMm),
    neededSdMm: tidyMm(ledger?.sdMm ?? 0),
    stepMm,
    overshootRisk,
    visits,
    perVisitLimitMm,
    contacts,
  };
  return { request, limits, left };
}

function shortageMm(ledger: Ledger | null): number {
  if (ledger && ledger.differenceMm !== null) return -ledger.differenceMm;
  const missing = ledger?.missing.join('; ') || 'a space account';
  throw new Refusal(
    'request-invalid',
    `reductionRequest: the space needed is not known; missing: ${missing}. Complete the space account or enter the figure.`,
    { field: 'neededMm', missing: ledger?.missing ?? [] },
  );
}

function contactLimits(teeth: Contact, choice: ContactChoice | undefined): ContactLimits {
  const reason = choice?.limitReason.trim() ?? '';
  const facing = (i: 0 | 1) => siteFacing(teeth[i], teeth[1 - i]);
  // A choice may name the two teeth the other way round.
  const at = (i: 0 | 1): 0 | 1 => (choice && choice.teeth[0] !== teeth[0] ? ((1 - i) as 0 | 1) : i);
  let exceedsDefault = false;
  let reasonMissing = false;
  const raised = (wished: number, usual: number): number => {
    if (wished <= usual) return wished;
    if (reason === '') reasonMissing = true;
    else exceedsDefault = true;
    return reason === '' ? usual : wished;
  };
  const earlierAt = (i: 0 | 1): number => choice?.earlierReductionMm[at(i)] ?? 0;
  const radiographAt = (i: 0 | 1): number | null => choice?.enamelMm?.[at(i)] ?? null;
  const usualAt = (i: 0 | 1): number =>
    tidyMm(defaultSurfaceLimitMm(teeth[i], facing(i), earlierAt(i), radiographAt(i)));
  const surface = (i: 0 | 1): readonly [number, SurfaceLimitFrom] => {
    const usual = usualAt(i);
    const own = choice?.surfaceLimitsMm[at(i)] ?? null;
    if (own !== null) return [raised(own, usual), 'user'];
    if (radiographAt(i) !== null) return [usual, 'half-radiograph'];
    if (teeth[i] >= 50) return [usual, 'no-published-value'];
    return [usual, earlierAt(i) > 0 ? 'half-enamel-less-earlier' : 'half-enamel'];
  };
  const limitMm = raised(choice?.limitMm ?? DEFAULT_CONTACT_LIMIT_MM, DEFAULT_CONTACT_LIMIT_MM);
  const [first, second] = [surface(0), surface(1)];
  return {
    teeth,
    limitMm,
    limitFrom: choice && choice.limitMm !== null ? 'user' : 'default',
    surfacesMm: [first[0], second[0]],
    surfaceFrom: [first[1], second[1]],
    earlierMm: [earlierAt(0), earlierAt(1)],
    radiographMm: [radiographAt(0), radiographAt(1)],
    usualLimitMm: DEFAULT_CONTACT_LIMIT_MM,
    usualSurfacesMm: [usualAt(0), usualAt(1)],
    stricter: first[0] + second[0] < limitMm ? 'surfaces' : 'contact',
    exceedsDefault,
    reason,
    reasonMissing,
    lock: choice?.lock ?? null,
  };
}
