import { type ProposedArch, proposalRecipes, proposedArch, within } from '../../support/proposeExperiment.ts';
import { type AccuracyGroup, type AccuracyRow, errorRow, rms } from '../AccuracyRow.ts';
import { FRAME_BOUND_DEG, FRAME_TEST } from './frame.ts';

const TEST = 'tests/core/marks/proposeMarks.test.ts';

/** Whole arches measured without a click. */
export const propose: AccuracyGroup = {
  name: 'propose',
  rows: async (progress) => {
    const arches = proposalRecipes().map(({ kind, recipe, missing }) => {
      progress(`${recipe.jaw} ${kind}, seed ${recipe.seed}`);
      return proposedArch(kind, recipe, missing);
    });
    const kinds = [...new Set(arches.map((a) => a.kind))];
    const on = (of: readonly ProposedArch[], kind: string): string =>
      `${of.length} generated arches, ${kind}`;
    const all = { surface: 'synthetic', on: on(arches, 'all kinds'), test: TEST } as const;
    const slightly = irregularities(arches.filter((a) => (a.recipe.crowdingMm ?? 0) <= 4));
    const widths = arches.flatMap((a) => a.widths);
    const rows: AccuracyRow[] = [
      foundRow(all.on, arches),
      {
        ...errorRow({
          ...all,
          what: 'Width, proposed without a click',
          errors: widths.map((w) => w.errorMm),
        }),
        ...bounded(widths.map((w) => w.errorMm)),
      },
    ];
    for (const kind of kinds) {
      const own = arches.filter((a) => a.kind === kind);
      const errors = own.flatMap((a) => a.widths.map((w) => w.errorMm));
      rows.push(
        errorRow({
          what: 'Width, proposed without a click',
          surface: 'synthetic',
          on: on(own, kind),
          errors,
          test: TEST,
        }),
      );
    }
    rows.push(
      spreadRow(
        all,
        widths.map((w) => Math.abs(w.errorMm) / w.sdMm),
      ),
      allButOne(
        errorRow({
          ...all,
          what: 'Arch line from proposed marks',
          errors: arches.map((a) => a.lineErrorMm),
          worstBound: 0.8,
        }),
        arches.map((a) => a.lineErrorMm),
        0.7,
      ),
      ...balanceRows(arches),
      errorRow({
        ...all,
        what: 'Irregularity from proposed marks',
        on: 'those of them crowded by 0 to 4 mm, or spaced',
        errors: slightly,
        worstBound: 1,
      }),
      errorRow({
        ...all,
        what: 'Irregularity from proposed marks',
        on: 'those crowded by 6 mm',
        errors: irregularities(arches.filter((a) => (a.recipe.crowdingMm ?? 0) > 4)),
      }),
      overlapRow(arches),
      errorRow({
        what: 'Occlusal plane found: tilt',
        surface: 'synthetic',
        on: all.on,
        errors: arches.map((a) => a.tiltDeg),
        unit: '°',
        digits: 1,
        worstBound: FRAME_BOUND_DEG,
        test: FRAME_TEST,
      }),
      errorRow({
        what: 'Forward direction found: turn',
        surface: 'synthetic',
        on: all.on,
        errors: arches.map((a) => a.turnDeg),
        unit: '°',
        digits: 1,
        worstBound: FRAME_BOUND_DEG,
        test: FRAME_TEST,
      }),
    );
    return rows;
  },
};

const irregularities = (arches: readonly ProposedArch[]): readonly number[] =>
  arches.flatMap((a) => a.irregularityErrorMm ?? []);

/** A row whose bound is tighter for all arches but one. */
function allButOne(row: AccuracyRow, errors: readonly number[], limitMm: number): AccuracyRow {
  const beyond = errors.filter((e) => Math.abs(e) > limitMm).length;
  return { ...row, bound: `${row.bound}, all but one ${limitMm} mm`, holds: row.holds && beyond <= 1 };
}

/** Space available less required, by how the teeth stand; the mean tells which way it errs. */
function balanceRows(arches: readonly ProposedArch[]): readonly AccuracyRow[] {
  const kinds = [
    { on: 'aligned, spaced, or with a place open', of: (a: ProposedArch) => !a.recipe.crowdingMm },
    { on: 'crowded by 2 to 6 mm', of: (a: ProposedArch) => !!a.recipe.crowdingMm },
  ];
  return kinds.map(({ on, of }) => {
    const errors = arches.filter(of).map((a) => a.balanceErrorMm);
    const mean = errors.reduce((sum, e) => sum + e, 0) / errors.length;
    const side = mean > 0 ? 'too much space' : 'too little space';
    return errorRow({
      what: 'Balance of the space account from proposed marks',
      surface: 'synthetic',
      on: `those ${on}; on average ${Math.abs(mean).toFixed(2)} mm ${side}`,
      errors,
      worstBound: 2,
      test: TEST,
    });
  });
}

/** The bound that the test sets on all widths together. */
function bounded(errors: readonly number[]): Pick<AccuracyRow, 'bound' | 'holds'> {
  const holds = rms(errors) <= 0.15 && within(errors, 0.95) <= 0.3;
  return { bound: 'RMS 0.15 mm, 95 % within 0.3 mm', holds };
}

function foundRow(on: string, arches: readonly ProposedArch[]): AccuracyRow {
  const hits = arches.flatMap((a) => a.present.map((tooth) => a.found.includes(tooth)));
  const extra = arches.flatMap((a) => a.found.filter((tooth) => !a.present.includes(tooth))).length;
  const wanting = hits.filter((hit) => !hit).length;
  return {
    what: 'Teeth found and rightly numbered, nothing clicked',
    surface: 'synthetic',
    on,
    n: hits.length,
    typical: `${hits.length - wanting} found`,
    worst: `${wanting} not found, ${extra} too many`,
    bound: 'all found, none too many',
    holds: wanting === 0 && extra === 0,
    test: TEST,
  };
}

/** Whether the stated SDs are borne out: errors as multiples of each width's own SD. */
function spreadRow(
  all: Pick<AccuracyRow, 'surface' | 'on' | 'test'>,
  multiples: readonly number[],
): AccuracyRow {
  const inside = (k: number): number => multiples.filter((m) => m <= k).length / multiples.length;
  const percent = (ratio: number): string => `${Math.round(100 * ratio)} %`;
  return {
    ...all,
    what: 'True width within the stated SD of a proposed one',
    n: multiples.length,
    typical: `within 1 SD: ${percent(inside(1))}`,
    worst: `within 2 SD: ${percent(inside(2))}`,
    bound: '1 SD: 60 to 90 %, 2 SD: over 93 %',
    holds: inside(1) > 0.6 && inside(1) < 0.9 && inside(2) > 0.93,
  };
}

function overlapRow(arches: readonly ProposedArch[]): AccuracyRow {
  const mean = arches.reduce((sum, a) => sum + a.meanOverlap, 0) / arches.length;
  return {
    what: 'Crown regions: overlap with the true crowns (shared ÷ joined faces)',
    surface: 'synthetic',
    on: `${arches.length} generated arches, all kinds`,
    n: arches.reduce((sum, a) => sum + a.present.length, 0),
    typical: `mean ${mean.toFixed(2)}`,
    worst: `least ${Math.min(...arches.map((a) => a.leastOverlap)).toFixed(2)}`,
    bound: '–',
    holds: true,
    test: TEST,
  };
}
