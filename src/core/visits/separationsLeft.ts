import { type Contact, positionOf, siteFacing } from '../base/tooth.ts';
import type { ArchLine, ArchMeasures, Estimate } from '../measure/ArchMeasures.ts';
import { contactKey } from './CutEntry.ts';
import type { FollowUpMeasure } from './FollowUp.ts';

/**
 * Front teeth stand on the line while no two facing contact points lie further apart across it. Behind the canines
 * contacts are broad, and a step between their marks hides nothing; our definition.
 */
const ACROSS_MM = 0.8;
/** And while setting every front tooth on it would gain less than this in all; our definition. */
const HIDDEN_MM = 0.4;
/** Crowns that overlap by more than this are not on the line; our definition. */
const OVERLAP_MM = 0.15;
/**
 * Radius at which two crowns meet, for what a step across the line hides along it. Sharper than crowns are, so that
 * rather too much hidden crowding is believed: a crowded arch of 3.6 mm comes out at about 4; our definition.
 */
const CONTACT_RADIUS_MM = 1;

export interface SeparationsLeft {
  /** Space still needed by the separations; negative: in excess. Null where it cannot be had. */
  readonly shortage: Estimate | null;
  readonly why: string | null; // why it cannot be had
}

/**
 * Space still needed in an arch whose teeth stand on its line: what separates its crowns from first molar to first
 * molar is in excess, less what small steps and turns still hide. Crowns that touch count as 0 and never less.
 *
 * Units:    mm; shortage positive.
 * Shape:    `measures` are those of the later scan's marks; `between` the contacts that count.
 * Accuracy: exact on constructed arches — tests/core/visits/separationsLeft.test.ts.
 * Source:   our definition, DEVELOPERS.md#what-the-arch-needs-now.
 */
export function separationsLeft(
  measure: FollowUpMeasure,
  measures: ArchMeasures | null,
  between: readonly Contact[],
): SeparationsLeft {
  const none = (why: string): SeparationsLeft => ({ shortage: null, why });
  const separations = between.map(
    (teeth) =>
      measure.contacts.find((change) => contactKey(change.teeth) === contactKey(teeth))?.separationAfter ??
      null,
  );
  if (separations.length === 0 || separations.some((one) => one === null))
    return none('not every contact could be measured between its crowns');
  const known = separations.filter((one) => one !== null);
  if (known.some(({ valueMm }) => valueMm < -OVERLAP_MM)) return none('crowns still overlap');
  if (!measures?.line) return none('the follow-up scan is not marked');
  const steps = between.filter(isFront).map((teeth) => acrossMm(measures.line as ArchLine, teeth));
  if (steps.some((step) => step === null)) return none('not every front contact is marked');
  const across = steps.filter((step) => step !== null);
  const hiddenMm = turnedMm(measures) + across.reduce((sum, step) => sum + hiddenByStep(step), 0);
  if (across.some((step) => step > ACROSS_MM) || hiddenMm > HIDDEN_MM)
    return none('teeth still stand off the arch line');
  const open = known.filter(({ valueMm }) => valueMm > 0);
  return {
    shortage: {
      valueMm: hiddenMm - open.reduce((sum, { valueMm }) => sum + valueMm, 0),
      sdMm: Math.hypot(...open.map(({ sdMm }) => sdMm), hiddenMm),
    },
    why: null,
  };
}

const LAST_FRONT = 3; // canine
const isFront = (teeth: Contact): boolean => teeth.every((tooth) => positionOf(tooth) <= LAST_FRONT);

/** How far the two facing contact points stand apart across the arch line; null where one is not marked. Units: mm. */
function acrossMm(line: ArchLine, [a, b]: Contact): number | null {
  const foot = (tooth: number, other: number) =>
    line.weights.find((weight) => weight.tooth === tooth && weight.site === siteFacing(tooth, other));
  const [p, q] = [foot(a, b), foot(b, a)];
  return p && q ? Math.abs(p.outwardMm - q.outwardMm) : null;
}

/** Length along the line that two round crowns save by meeting at a step across it. Units: mm. */
const hiddenByStep = (stepMm: number): number => {
  const reach = 2 * CONTACT_RADIUS_MM;
  return reach - Math.sqrt(Math.max(0, reach * reach - stepMm * stepMm));
};

/** What the front teeth would take up more if each were turned into the line: widths less their lengths along it. Units: mm. */
export function turnedMm(measures: ArchMeasures): number {
  if (!measures.line) return 0;
  let off = 0;
  for (const { tooth, widthOcclusalMm } of measures.teeth) {
    if (widthOcclusalMm === null || positionOf(tooth) > LAST_FRONT) continue;
    const feet = measures.line.weights.filter((weight) => weight.tooth === tooth);
    if (feet.length !== 2) continue;
    const alongMm = Math.abs(feet[0].alongMm - feet[1].alongMm);
    const acrossMm = Math.abs(feet[0].outwardMm - feet[1].outwardMm);
    off += Math.max(0, Math.hypot(alongMm, acrossMm) - alongMm);
  }
  return off;
}
