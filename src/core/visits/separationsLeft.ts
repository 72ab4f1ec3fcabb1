import type { ArchMeasures, Estimate } from '../measure/ArchMeasures.ts';
import { contactKey } from './CutEntry.ts';
import type { FollowUpMeasure } from './FollowUp.ts';

/** Teeth count as standing on the line while turning and displacing them gains less than this in all; our definition. */
export const ON_LINE_MM = 0.3;
/** Crowns that overlap by more than this are not on the line; our definition. */
export const OVERLAP_MM = 0.15;

export interface SeparationsLeft {
  /** Space still needed by the separations: their sum with its sign turned. Null where it cannot be had. */
  readonly shortage: Estimate | null;
  readonly why: string | null; // why it cannot be had
}

/**
 * Space still needed in an arch whose teeth stand on its line: what separates their crowns, summed from first molar to
 * first molar, is the excess. While teeth overlap or stand off the line their separations cannot be summed.
 *
 * Units:    mm; shortage positive.
 * Shape:    `measures` are those of the later scan's marks; `between` the contacts that count.
 * Accuracy: exact on constructed arches — tests/core/visits/separationsLeft.test.ts.
 * Source:   our definition, DEVELOPERS.md#what-the-arch-needs-now.
 */
export function separationsLeft(
  measure: FollowUpMeasure,
  measures: ArchMeasures | null,
  between: readonly (readonly [number, number])[],
): SeparationsLeft {
  const none = (why: string): SeparationsLeft => ({ shortage: null, why });
  const found = between.map((teeth) =>
    measure.contacts.find((change) => contactKey(change.teeth) === contactKey(teeth)),
  );
  const separations = found.map((change) => change?.separationAfter ?? null);
  if (separations.length === 0 || separations.some((one) => one === null))
    return none('not every contact could be measured between its crowns');
  const known = separations.filter((one) => one !== null);
  if (known.some(({ valueMm }) => valueMm < -OVERLAP_MM)) return none('crowns still overlap');
  if (!measures?.line) return none('the follow-up scan is not marked');
  const offMm = offLineMm(measures);
  if (offMm > ON_LINE_MM || isImbricated(measures, between, known))
    return none('teeth still stand off the arch line');
  const sumMm = known.reduce((sum, { valueMm }) => sum + valueMm, 0);
  return {
    shortage: {
      valueMm: -sumMm,
      sdMm: Math.hypot(...known.map(({ sdMm }) => sdMm), offMm),
    },
    why: null,
  };
}

/** How much surer than its error an overlap along the line has to be; SDs. */
const OVERLAP_SDS = 2;

/**
 * Crowns side by side touch and yet overlap along the line. True where the marks say so of one contact, or of all
 * together: the separation of the surfaces exceeds that along the line by more than the marks' errors and ON_LINE_MM.
 */
function isImbricated(
  measures: ArchMeasures,
  between: readonly (readonly [number, number])[],
  surfaces: readonly Estimate[],
): boolean {
  let sumMm = 0;
  let variance = 0;
  for (const [i, teeth] of between.entries()) {
    const along = measures.contacts.find(
      (contact) => contactKey(contact.teeth) === contactKey(teeth),
    )?.alongArch;
    if (!along) return true; // not to be told
    const hiddenMm = surfaces[i].valueMm - along.valueMm;
    const own = Math.hypot(surfaces[i].sdMm, along.sdMm);
    if (hiddenMm > Math.max(ON_LINE_MM, OVERLAP_SDS * own)) return true;
    sumMm += hiddenMm;
    variance += own * own;
  }
  return sumMm > Math.max(ON_LINE_MM, OVERLAP_SDS * Math.sqrt(variance));
}

/** What the teeth would take up more if each stood along the line: widths less their lengths along it. Units: mm. */
export function offLineMm(measures: ArchMeasures): number {
  if (!measures.line) return 0;
  let off = 0;
  for (const { tooth, widthOcclusalMm } of measures.teeth) {
    if (widthOcclusalMm === null || tooth % 10 > 5) continue;
    const feet = measures.line.weights.filter((weight) => weight.tooth === tooth);
    if (feet.length !== 2) continue;
    const alongMm = Math.abs(feet[0].alongMm - feet[1].alongMm);
    const acrossMm = Math.abs(feet[0].outwardMm - feet[1].outwardMm);
    off += Math.max(0, Math.hypot(alongMm, acrossMm) - alongMm);
  }
  return off;
}
