import type { Jaw } from '../../../src/core/base/tooth.ts';
import {
  compareGenerated,
  errorsOf,
  type FollowUpErrors,
  generatedErrors,
  generatedPair,
  realErrors,
  type StatedError,
  withinSd,
} from '../../support/followUpExperiment.ts';
import { archPair, crownsPair } from '../../support/followUpPair.ts';
import { hasSharedScans } from '../../support/sharedScans.ts';
import { type AccuracyGroup, type AccuracyRow, errorRow } from '../AccuracyRow.ts';

const GENERATED_TEST = 'tests/core/compare/compareScans.test.ts';
const CUT_TEST = 'tests/core/compare/realCrowns.test.ts';
const ARCH_TEST = 'tests/core/compare/registration.test.ts';

const PAIRS: readonly (readonly [Jaw, number, number, boolean])[] = [
  ['lower', 1, 0.4, true],
  ['lower', 4, 0, true],
  ['lower', 5, 0.4, false],
  ['lower', 6, 0.6, true],
  ['upper', 1, 0.4, true],
  ['upper', 3, 0.4, false],
  ['upper', 4, 0, true],
  ['upper', 5, 0.6, true],
];

function shareRow(
  what: string,
  surface: AccuracyRow['surface'],
  on: string,
  stated: readonly StatedError[],
  test: string,
): AccuracyRow {
  const [one, two] = [withinSd(stated, 1), withinSd(stated, 2)];
  const percent = (share: number): string => `${Math.round(100 * share)} %`;
  return {
    what: `${what}: truth within the stated SD`,
    surface,
    on,
    n: stated.length,
    typical: `within 1 SD: ${percent(one)}`,
    worst: `within 2 SD: ${percent(two)}`,
    bound: '2 SD: over 85 %',
    holds: two > 0.85,
    test,
  };
}

/** A later scan of the same arch: what was cut, what moved, what is left between. */
export const compare: AccuracyGroup = {
  name: 'compare',
  rows: async (progress) => {
    const found = PAIRS.map(([jaw, seed, gapMm, bridged]): FollowUpErrors => {
      progress(`${jaw} ${seed}`);
      const pair = generatedPair(jaw, seed, gapMm, bridged);
      return generatedErrors(compareGenerated(pair, jaw), pair);
    });
    const all = <T>(of: (errors: FollowUpErrors) => readonly T[]): readonly T[] => found.flatMap(of);
    const on = `${PAIRS.length} generated arches, cut and aligned, most with webs over the contacts`;
    const common = { surface: 'synthetic', on, test: GENERATED_TEST } as const;
    const contacts = all((e) => e.contacts);
    const surfaces = all((e) => e.surfaces);
    const rows = [
      errorRow({
        ...common,
        what: 'Later scan: enamel gone at a contact',
        errors: errorsOf(contacts),
        rmsBound: 0.1,
      }),
      shareRow('Later scan: enamel gone at a contact', 'synthetic', on, contacts, GENERATED_TEST),
      errorRow({ ...common, what: 'Later scan: enamel gone from one wall', errors: errorsOf(surfaces) }),
      shareRow('Later scan: enamel gone from one wall', 'synthetic', on, surfaces, GENERATED_TEST),
      errorRow({
        ...common,
        what: 'Later scan: separation after',
        errors: errorsOf(all((e) => e.after)),
        rmsBound: 0.08,
      }),
      errorRow({
        ...common,
        what: 'Later scan: movement of a crown',
        errors: all((e) => e.movedMm),
        rmsBound: 0.15,
      }),
      errorRow({
        ...common,
        what: 'Later scan: turn of a crown',
        errors: all((e) => e.turnedDeg),
        unit: '°',
        rmsBound: 1,
      }),
      errorRow({
        ...common,
        what: 'Later scan: movement in its three parts, as told',
        errors: errorsOf(all((e) => e.parts)),
        rmsBound: 0.15,
      }),
      shareRow(
        'Later scan: movement in its three parts',
        'synthetic',
        on,
        all((e) => e.parts),
        GENERATED_TEST,
      ),
    ];
    return hasSharedScans ? [...rows, ...(await realRows(progress))] : rows;
  },
};

async function realRows(progress: (line: string) => void): Promise<readonly AccuracyRow[]> {
  const cut: Awaited<ReturnType<typeof realErrors>>[] = [];
  for (const name of ['crowns-a-lower', 'crowns-a-upper'] as const)
    for (const seed of [1, 2]) {
      progress(`${name} ${seed}`);
      cut.push(realErrors(await crownsPair(name, { seed })));
    }
  progress('arch-b-upper');
  const arch = realErrors(await archPair('arch-b-upper', { seed: 1, triangles: 80_000 }));
  const on =
    'crowns of one person in a gum of the test, cut by planes, moved apart; other vertices, noise, pose';
  const common = { surface: 'real', on, test: CUT_TEST } as const;
  const contacts = cut.flatMap((e) => e.contacts);
  const moved = {
    surface: 'real',
    on: 'a whole arch, crowns moved, other triangles, noise, pose',
    test: ARCH_TEST,
  } as const;
  return [
    errorRow({
      ...common,
      what: 'Later scan: enamel gone at a contact',
      errors: errorsOf(contacts),
      rmsBound: 0.1,
    }),
    shareRow('Later scan: enamel gone at a contact', 'real', on, contacts, CUT_TEST),
    errorRow({
      ...common,
      what: 'Later scan: movement of a crown',
      errors: cut.flatMap((e) => e.movedMm),
      rmsBound: 0.15,
    }),
    errorRow({
      ...common,
      what: 'Later scan: turn of a crown',
      errors: cut.flatMap((e) => e.turnedDeg),
      unit: '°',
      rmsBound: 1,
    }),
    errorRow({ ...moved, what: 'Later scan: movement of a crown', errors: arch.movedMm, rmsBound: 0.15 }),
    errorRow({
      ...moved,
      what: 'Later scan: turn of a crown',
      errors: arch.turnedDeg,
      unit: '°',
      rmsBound: 1,
    }),
  ];
}
