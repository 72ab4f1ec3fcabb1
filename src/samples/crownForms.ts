import { type Jaw, positionOf, quadrantOf, type Tooth } from '../core/base/tooth.ts';
import type { CrownForm } from './CrownForm.ts';
import { LOWER_1, LOWER_2, LOWER_3, PEG_2, UPPER_1, UPPER_2, UPPER_3 } from './frontForms.ts';
import { LOWER_6, LOWER_7, UPPER_6, UPPER_7 } from './molarForms.ts';
import { LOWER_4, LOWER_5, UPPER_4, UPPER_5 } from './premolarForms.ts';
import { type CrownSize, REFERENCE } from './toothSizes.ts';

const FORMS: Readonly<Record<Jaw, readonly CrownForm[]>> = {
  upper: [UPPER_1, UPPER_2, UPPER_3, UPPER_4, UPPER_5, UPPER_6, UPPER_7],
  lower: [LOWER_1, LOWER_2, LOWER_3, LOWER_4, LOWER_5, LOWER_6, LOWER_7],
};

const PRIMARY_FORMS: Readonly<Record<Jaw, readonly CrownForm[]>> = {
  upper: [UPPER_3, UPPER_5, UPPER_6],
  lower: [LOWER_3, LOWER_6, LOWER_6],
};

/** What one tooth's crown is made from: its form and the size that form is drawn at. */
export function crownKind(
  jaw: Jaw,
  tooth: Tooth,
  peg: boolean,
): { readonly form: CrownForm; readonly reference: CrownSize } {
  const p = positionOf(tooth);
  if (peg) return { form: PEG_2, reference: REFERENCE[jaw][1] };
  if (quadrantOf(tooth) <= 4) return { form: crownForm(jaw, p), reference: REFERENCE[jaw][p - 1] };
  // primary canines and second molars are like small permanent canines and first molars; the upper first
  // primary molar is like a premolar, the lower one like a molar
  const like = p === 3 ? 3 : jaw === 'upper' && p === 4 ? 5 : 6;
  return { form: PRIMARY_FORMS[jaw][p - 3], reference: REFERENCE[jaw][like - 1] };
}

/** The form of a permanent crown by jaw and position (1 to 7 from the midline). */
export const crownForm = (jaw: Jaw, position: number): CrownForm => FORMS[jaw][position - 1];
