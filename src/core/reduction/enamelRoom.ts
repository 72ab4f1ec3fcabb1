import { enamelOverview } from './enamelOverview.ts';
import { contactRoom } from './planReduction.ts';
import type { BuiltRequest } from './reductionRequest.ts';
import { stepsToMm } from './stepAmounts.ts';

/** What the contacts of a request may give in all. Units: mm. */
export interface EnamelRoom {
  readonly mostMm: number; // within limits, locks and visits, in whole steps
  /** All the enamel of the surfaces that may be cut, less what was taken earlier; null where one is not known. */
  readonly enamelMm: number | null;
}

/** The most an arch gives by reduction alone, whatever is needed, and the enamel that it comes from. Units: mm. */
export function enamelRoom({ request, limits }: Pick<BuiltRequest, 'request' | 'limits'>): EnamelRoom {
  const steps = request.contacts.reduce((sum, contact) => sum + contactRoom(contact, request).bound, 0);
  const open = limits.filter((_, i) => !request.contacts[i].locked);
  const surfaces = enamelOverview(open, null);
  const isKnown = surfaces.every(({ enamelMm }) => enamelMm !== null);
  return {
    mostMm: stepsToMm(steps, request.stepMm),
    enamelMm: isKnown
      ? surfaces.reduce((sum, { enamelMm, earlierMm }) => sum + Math.max(0, enamelMm! - earlierMm), 0)
      : null,
  };
}
