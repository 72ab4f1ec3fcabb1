/** What is used of a mixed-integer solver; the `highs` package, once loaded, is one. `solve` is synchronous. */
export interface MixedIntegerSolver {
  solve(
    problem: string,
    options?: {
      readonly mip_rel_gap?: number;
      readonly mip_abs_gap?: number;
      readonly output_flag?: boolean;
    },
  ): {
    readonly Status: string;
    readonly Columns: Readonly<Record<string, unknown>>;
  };
}

/** Factor by variable name. */
export type Linear = ReadonlyMap<string, number>;

export interface Constraint {
  readonly left: Linear;
  readonly relation: '<=' | '>=' | '=';
  readonly right: number;
}

export interface IntegerModel {
  readonly minimise: Linear;
  readonly constraints: readonly Constraint[];
  readonly integers: ReadonlyMap<string, number>; // whole numbers from 0 to this; the rest are continuous from 0
}

/**
 * Values of the variables at a minimum, or null where no values fulfil the constraints.
 * Accuracy: the solver's own, about 1e-6 on constraints; callers round the whole numbers and recompute.
 */
export function minimum(solver: MixedIntegerSolver, model: IntegerModel): ReadonlyMap<string, number> | null {
  const found = solver.solve(lpText(model), { mip_rel_gap: 0, mip_abs_gap: 1e-9, output_flag: false });
  if (found.Status === 'Infeasible') return null;
  if (found.Status !== 'Optimal')
    throw new Error(`minimum: the solver ended with ${found.Status}, need Optimal.`);
  return new Map(
    Object.entries(found.Columns).map(([name, column]) => [name, (column as { Primal: number }).Primal]),
  );
}

/** The model in the CPLEX LP format. */
function lpText({ minimise, constraints, integers }: IntegerModel): string {
  return [
    'Minimize',
    ` obj: ${terms(minimise)}`,
    'Subject To',
    ...constraints.map(
      ({ left, relation, right }, i) => ` c${i}: ${terms(left)} ${relation} ${plain(right)}`,
    ),
    'Bounds',
    ...[...integers].map(([name, most]) => ` 0 <= ${name} <= ${most}`),
    'Generals',
    ...[...integers.keys()].map((name) => ` ${name}`),
    'End',
    '',
  ].join('\n');
}

const terms = (linear: Linear): string =>
  [...linear]
    .map(([name, factor]) => `${factor < 0 ? '-' : '+'} ${plain(Math.abs(factor))} ${name}`)
    .join('\n  ');

/** A number without an exponent, which the format would read as a name. */
const plain = (value: number): string => {
  const text = String(value);
  return text.includes('e') ? value.toFixed(15) : text;
};
