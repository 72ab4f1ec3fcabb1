import { archOrder, type Jaw, positionOf } from '../base/tooth.ts';
import type { ContactMeasure, Estimate, IrregularityGrade, MeasureWarning } from './ArchMeasures.ts';

/**
 * Grade of an irregularity index. The published bands are whole millimetres (0; 1–3; 4–6; 7–9; 10 and more);
 * what lies between is not assigned. Our rule: round to the nearest whole millimetre, halves up, then look it up.
 * Source: Little RM, Am J Orthod 1975;68:554–563, bands seen in a secondary source.
 */
export function irregularityGrade(indexMm: number): IrregularityGrade {
  const whole = Math.floor(indexMm + 0.5);
  if (whole < 1) return 'perfect';
  if (whole <= 3) return 'minimal';
  if (whole <= 6) return 'moderate';
  if (whole <= 9) return 'severe';
  return 'very severe';
}

/**
 * Irregularity index: sum of the displacements of the five front contacts, canine to canine, in the occlusal
 * plane. Defined for the lower arch; reported for the upper as well. Errors of the marks can only add to a
 * displacement, so small indices come out somewhat too large.
 *
 * Units:    mm; null when one of the five contacts is not there.
 * Accuracy: exact for exact marks — tests/core/measure/irregularity.test.ts.
 * Source:   Little RM, Am J Orthod 1975;68:554–563; definition seen in a secondary source.
 */
export function irregularity(
  jaw: Jaw,
  contacts: readonly ContactMeasure[],
): { readonly index: Estimate | null; readonly warnings: readonly MeasureWarning[] } {
  const front = archOrder(jaw).filter((tooth) => positionOf(tooth) <= 3);
  const pairs = front.slice(1).map((tooth, i) => [front[i], tooth] as const);
  const found = pairs.map(
    ([a, b]) => contacts.find((c) => c.teeth[0] === a && c.teeth[1] === b)?.displacement ?? null,
  );
  const missing = pairs.filter((_, i) => !found[i]);
  if (missing.length > 0)
    return {
      index: null,
      warnings: [
        {
          code: 'irregularity-missing',
          message: `Irregularity needs all five front contacts; ${missing.map((p) => p.join('–')).join(', ')} cannot be had.`,
          teeth: [...new Set(missing.flat())],
        },
      ],
    };
  const displacements = found as Estimate[];
  return {
    index: {
      valueMm: displacements.reduce((sum, d) => sum + d.valueMm, 0),
      sdMm: Math.hypot(...displacements.map((d) => d.sdMm)),
    },
    warnings: [],
  };
}
