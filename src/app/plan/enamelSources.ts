import type { Source } from '../../core/base/Source.ts';
import type { SurfaceEnamel } from '../../core/reduction/enamelOverview.ts';
import { STANDING_WORDS } from '../format.ts';

export const sourceText = ({ standing, text }: Source): string => `${STANDING_WORDS[standing]}: ${text}`;

/** The different sources of a list of surfaces, in order of appearance. */
export const enamelSources = (rows: readonly SurfaceEnamel[]): readonly string[] => [
  ...new Set(rows.flatMap(({ source }) => (source ? [sourceText(source)] : []))),
];
