import type { ArchMeasures } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { spaceLedger } from '../../../src/core/space/spaceLedger.ts';
import type { ArchRecipe } from '../../../src/samples/ArchRecipe.ts';
import { namedSamples } from '../../../src/samples/namedSamples.ts';
import type { SampleTruth } from '../../../src/samples/sampleTruth.ts';
import { recipeTruth } from '../../support/recipeTruth.ts';
import { sampleMarks } from '../../support/sampleMarks.ts';
import { type AccuracyGroup, errorRow } from '../AccuracyRow.ts';

// Measures from the true marks: what measuring adds, without the error of marking. No mesh is made.

const TEST = 'tests/core/measure/samples.test.ts';

const crowded = (amounts: readonly number[]): readonly ArchRecipe[] =>
  amounts.flatMap((crowdingMm) =>
    (['lower', 'upper'] as const).flatMap((jaw) =>
      [101, 102, 103].map((k) => ({ jaw, seed: 10 * k + crowdingMm, crowdingMm })),
    ),
  );

const SETS: readonly (readonly [
  on: string,
  recipes: readonly ArchRecipe[],
  rmsMm: number,
  worstMm: number,
])[] = [
  ['6 shipped samples', namedSamples.map(({ recipe }) => recipe), 0.45, 0.7],
  ['18 generated arches, crowded 0 to 4 mm', crowded([0, 2, 4]), 0.45, 0.85],
  ['12 generated arches, crowded 6 and 8 mm', crowded([6, 8]), 0.9, 1.6],
  [
    '2 generated arches, spaced 3 and 6 mm',
    [
      { jaw: 'lower', seed: 7, spacingMm: 3 },
      { jaw: 'upper', seed: 8, spacingMm: 6 },
    ],
    0.3,
    0.4,
  ],
];

interface Measured {
  readonly truth: SampleTruth;
  readonly found: ArchMeasures;
}

function measured(recipe: ArchRecipe): Measured {
  const truth = recipeTruth(recipe);
  const found = measureArch({
    jaw: truth.jaw,
    frame: truth.frame,
    marks: sampleMarks(truth).marks.map((mark) => ({ ...mark, state: 'confirmed', confidence: null })),
    missing: truth.recipe.missing.map((m) => m.tooth),
    enteredWidths: [],
    form: 'spline',
    markSdMm: 0.1,
    medianEdgeMm: 0.2,
  });
  return { truth, found };
}

const balanceErrorMm = ({ truth, found }: Measured): number => {
  const chart = { missing: truth.recipe.missing.map((m) => m.tooth), unerupted: [], enteredWidths: [] };
  const ledger = spaceLedger({ measures: found, chart, perimeter: 'line', allowances: [] });
  return (ledger.differenceMm ?? Number.NaN) - truth.space.differenceMm;
};

export const measures: AccuracyGroup = {
  name: 'measures',
  rows: async (progress) => {
    const sets = SETS.map(([on, recipes, rmsMm, worstMm]) => {
      progress(on);
      return { on, rmsMm, worstMm, all: recipes.map(measured) };
    });
    const every = sets.flatMap(({ all }) => all);
    const plain = <K extends 'fourSegments' | 'irregularity' | 'depth' | 'intercanine'>(
      what: string,
      key: K,
      truth: (arch: SampleTruth['arch']) => number | null,
      worstBound: number,
    ) =>
      errorRow({
        what: `${what}, marks exact`,
        surface: 'synthetic',
        on: `${every.length} arches as above`,
        errors: every.flatMap((m) => {
          const exact = truth(m.truth.arch);
          return exact === null ? [] : [(m.found[key]?.valueMm ?? Number.NaN) - exact];
        }),
        worstBound,
        test: TEST,
      });
    return [
      ...sets.map(({ on, rmsMm, worstMm, all }) =>
        errorRow({
          what: 'Space available on the arch line (spline), marks exact',
          surface: 'synthetic',
          on,
          errors: all.map(({ truth, found }) => {
            const line = found.line!;
            return line.length.valueMm - line.chordExcessMm - truth.space.availableMm;
          }),
          rmsBound: rmsMm,
          worstBound: worstMm,
          test: TEST,
        }),
      ),
      ...sets.slice(0, 3).map(({ on, all }) =>
        errorRow({
          what: 'Balance of the space account, marks exact',
          surface: 'synthetic',
          on,
          errors: all.map(balanceErrorMm),
          test: 'tests/core/space/samples.test.ts',
        }),
      ),
      plain('Four segments', 'fourSegments', (a) => a.fourSegmentsMm, 1e-5),
      plain('Irregularity', 'irregularity', (a) => a.irregularityMm, 1e-5),
      plain('Depth', 'depth', (a) => a.depthMm, 0.03),
      plain('Intercanine width', 'intercanine', (a) => a.intercanineMm, 1e-5),
    ];
  },
};
