import { type Intraclass, intraclass } from '../../core/study/intraclass.ts';
import {
  type ReadingBias,
  type RepeatedReadings,
  readingBiases,
  repeatedReadings,
} from '../../core/study/repeatedReadings.ts';

/** Three or more readings of the same subjects; a value is null where a reading lacks it. */
export interface SeveralReadings {
  readonly readings: readonly { readonly name: string; readonly observer: string | null }[]; // null: not known
  readonly subjects: readonly { readonly label: string; readonly values: readonly (number | null)[] }[];
}

/** One value against the mean of all of its subject. */
export interface Deviation {
  readonly reading: string;
  readonly label: string;
  readonly mean: number;
  readonly off: number;
}

export interface SeveralResult {
  readonly names: readonly string[];
  readonly complete: number; // subjects that every reading has
  readonly incomplete: number; // others with at least two
  /** Any two of these readings. */
  readonly any: RepeatedReadings;
  /** Two readings of the same observer; null where observers are not known, there is one only, or nobody repeated. */
  readonly sameObserver: RepeatedReadings | null;
  readonly biases: readonly ReadingBias[] | null; // over the complete subjects
  readonly icc: Intraclass | null; // over the complete subjects
  readonly deviations: readonly Deviation[]; // of the complete subjects
  /** How far 95 % of these deviations are expected to reach. */
  readonly reach: number;
}

const known = (values: readonly (number | null)[]): readonly number[] =>
  values.filter((value) => value !== null);

/** Refuses: 'too-few-pairs' where nothing was read twice, 'number-invalid'. */
export function severalResult({ readings, subjects }: SeveralReadings): SeveralResult {
  const any = repeatedReadings(subjects.map(({ values }) => known(values)));
  const complete = subjects.filter(({ values }) => known(values).length === readings.length);
  const rows = complete.map(({ values }) => known(values));
  const observers = [...new Set(readings.map(({ observer }) => observer))];
  const perObserver = subjects.flatMap(({ values }) =>
    observers.map((observer) => known(values.filter((_, i) => readings[i].observer === observer))),
  );
  const isTold = !observers.includes(null) && observers.length > 1;
  const canBoth = rows.length > 1;
  const varies = rows.flat().some((value) => value !== rows[0][0]);
  return {
    names: readings.map(({ name }) => name),
    complete: rows.length,
    incomplete: subjects.filter(({ values }) => {
      const count = known(values).length;
      return count > 1 && count < readings.length;
    }).length,
    any,
    sameObserver:
      isTold && perObserver.some((values) => values.length > 1) ? repeatedReadings(perObserver) : null,
    biases: canBoth ? readingBiases(rows) : null,
    icc: canBoth && varies ? intraclass(rows) : null,
    deviations: complete.flatMap(({ label }, s) => {
      const mean = rows[s].reduce((sum, value) => sum + value, 0) / readings.length;
      return rows[s].map((value, i) => ({ reading: readings[i].name, label, mean, off: value - mean }));
    }),
    reach: 1.96 * any.withinSd * Math.sqrt(1 - 1 / readings.length),
  };
}
