import type { Jaw } from '../core/base/tooth.ts';
import type { CrownForm } from './CrownForm.ts';
import { LOWER_1, LOWER_2, LOWER_3, UPPER_1, UPPER_2, UPPER_3 } from './frontForms.ts';
import { LOWER_6, LOWER_7, UPPER_6, UPPER_7 } from './molarForms.ts';
import { LOWER_4, LOWER_5, UPPER_4, UPPER_5 } from './premolarForms.ts';

const FORMS: Readonly<Record<Jaw, readonly CrownForm[]>> = {
  upper: [UPPER_1, UPPER_2, UPPER_3, UPPER_4, UPPER_5, UPPER_6, UPPER_7],
  lower: [LOWER_1, LOWER_2, LOWER_3, LOWER_4, LOWER_5, LOWER_6, LOWER_7],
};

/** The form of a crown by jaw and position (1 to 7 from the midline). */
export const crownForm = (jaw: Jaw, position: number): CrownForm => FORMS[jaw][position - 1];
