import type { Source } from '../base/Source.ts';
import { type Contact, isRight } from '../base/tooth.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import { forecastResidual } from '../reduction/forecast.ts';
import type { PlanForecast } from '../reduction/ReductionPlan.ts';
import { tidyMm } from '../reduction/stepAmounts.ts';
import { contactKey } from './CutEntry.ts';

/** What the user chose for closing the space left. */
export interface ClosureSettings {
  /** Closed beyond the excess, over the whole arch, so that contacts end rather tight than open. */
  readonly overCorrectionMm: number;
  /** Contacts at which to close; null: every open one. */
  readonly contacts: readonly Contact[] | null;
}

export const CLOSURE_DEFAULTS: ClosureSettings = { overCorrectionMm: 0.1, contacts: null };

export const OVER_CORRECTION_SOURCE: Source = {
  standing: 'practice',
  text: '0.1 to 0.2 mm of over-correction where a gap is closed; common practice, no source',
};

/** Arch length that an incisor movement of 1 mm takes up. */
const ARCH_PER_INCISOR_MM = 2;
export const INCISOR_SOURCE: Source = {
  standing: 'secondary',
  text: '2 mm of arch per mm of incisor movement: lecture notes after Kirschen RH et al., Am J Orthod Dentofacial Orthop 2000;118:448–455',
};

/** Space free at a contact; negative: the crowns overlap. */
export interface FreeSpace {
  readonly teeth: Contact;
  readonly separation: Estimate | null;
}

export interface ClosureShare {
  readonly teeth: Contact;
  readonly openMm: number; // as measured
  readonly closeMm: number;
  readonly leftMm: number; // open after closing; negative: over-corrected
}

export interface ClosurePlan {
  readonly excess: Estimate;
  readonly overCorrectionMm: number;
  readonly shares: readonly ClosureShare[]; // only contacts at which something is closed
  readonly closeMm: number; // over all contacts
  /** Of excess and over-correction, what the open contacts chosen do not hold. */
  readonly unplacedMm: number;
  /** Of the openings chosen, what other teeth still need. */
  readonly keptOpenMm: number;
  /** Middle of the arch toward the patient's right, between ends that hold. */
  readonly midlineToRightMm: number;
  /** Incisors inward, if the molars hold. */
  readonly incisorsBackMm: number;
  /** Space left in the arch after closing: positive a gap, negative over-tight. */
  readonly forecast: PlanForecast;
}

/**
 * Where the excess is closed: at the open contacts chosen, each in proportion to its opening. Never more at a contact
 * than its opening and its part of the over-correction; what finds no opening is named.
 *
 * Units:    mm. `excess` above 0, else nothing is closed.
 * Accuracy: closures and what finds no place add up to excess and over-correction, to a ten-millionth of a mm —
 *           tests/core/visits/closurePlan.test.ts.
 * Source:   sharing and midline our definition, DEVELOPERS.md#closing-what-is-left.
 */
export function closurePlan(
  excess: Estimate,
  spaces: readonly FreeSpace[],
  { overCorrectionMm, contacts }: ClosureSettings,
): ClosurePlan {
  const chosen = contacts && new Set(contacts.map(contactKey));
  const open = spaces.flatMap(({ teeth, separation }) =>
    separation && separation.valueMm > 0 && (chosen === null || chosen.has(contactKey(teeth)))
      ? [{ teeth, openMm: separation.valueMm }]
      : [],
  );
  const excessMm = Math.max(0, excess.valueMm);
  const openMm = open.reduce((sum, space) => sum + space.openMm, 0);
  const placedMm = Math.min(excessMm, openMm);
  const overMm = placedMm > 0 ? overCorrectionMm : 0;
  const shares = open.flatMap((space): ClosureShare[] => {
    const closeMm = tidyMm((placedMm + overMm) * (space.openMm / openMm));
    return closeMm > 0 ? [{ ...space, closeMm, leftMm: tidyMm(space.openMm - closeMm) }] : [];
  });
  const closeMm = tidyMm(shares.reduce((sum, share) => sum + share.closeMm, 0));
  const wantedMm = excessMm > 0 ? excessMm + overCorrectionMm : 0;
  return {
    excess,
    overCorrectionMm,
    shares,
    closeMm,
    unplacedMm: tidyMm(Math.max(0, wantedMm - closeMm)),
    keptOpenMm: tidyMm(Math.max(0, openMm - placedMm)),
    midlineToRightMm: midlineToRight(shares),
    incisorsBackMm: tidyMm(closeMm / ARCH_PER_INCISOR_MM),
    forecast: forecastResidual({
      cutMm: -closeMm,
      cutSdMm: 0,
      neededMm: -excess.valueMm,
      neededSdMm: excess.sdMm,
    }),
  };
}

/** Between ends that hold, the middle moves by half of what the right side closes more than the left. */
function midlineToRight(shares: readonly ClosureShare[]): number {
  const bySide = shares.reduce((sum, { teeth: [a, b], closeMm }) => {
    if (isRight(a) !== isRight(b)) return sum;
    return sum + (isRight(a) ? closeMm : -closeMm);
  }, 0);
  return tidyMm(bySide / 2);
}
