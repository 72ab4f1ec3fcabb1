import {
  errorMm,
  gapsSeen,
  insideSd,
  type SeparationRow,
  separationArches,
  separationsGenerated,
  separationsReal,
} from '../../support/separationExperiment.ts';
import { hasSharedScans } from '../../support/sharedScans.ts';
import { type AccuracyGroup, type AccuracyRow, errorRow } from '../AccuracyRow.ts';

const TEST = 'tests/core/marks/surfaceSeparations.test.ts';
const WHAT = 'Separation of the crown surfaces';
const ON = '6 shipped samples and 24 generated arches, marks proposed';

const percent = (share: number): string => `${Math.round(100 * share)} %`;

/** Separations between crown surfaces, against the true distance of the crowns. */
export const separation: AccuracyGroup = {
  name: 'separation',
  rows: async (progress) => {
    const made = separationArches().flatMap((arch) => {
      progress(arch.name);
      return separationsGenerated(arch);
    });
    const seen = gapsSeen(made);
    const rows: AccuracyRow[] = [
      errorRow({
        what: `${WHAT}: gaps that are seen`,
        surface: 'synthetic',
        on: ON,
        errors: seen.map(errorMm),
        rmsBound: 0.08,
        worstBound: 0.25,
        test: TEST,
      }),
      {
        what: `${WHAT}: true distance within the stated SD`,
        surface: 'synthetic',
        on: 'the same gaps',
        n: seen.length,
        typical: `within 1 SD: ${percent(insideSd(seen, 1))}`,
        worst: `within 2 SD: ${percent(insideSd(seen, 2))}`,
        bound: '1 SD: 60 to 90 %, 2 SD: over 93 %',
        holds: insideSd(seen, 1) > 0.6 && insideSd(seen, 1) < 0.9 && insideSd(seen, 2) > 0.93,
        test: TEST,
      },
      touchingRow(made),
      joinedRow(made),
    ];
    if (!hasSharedScans) return rows;
    const real: SeparationRow[] = [];
    for (const name of ['crowns-a-upper', 'crowns-a-lower'] as const) {
      progress(`real ${name}`);
      real.push(...(await separationsReal(name)));
    }
    rows.push(
      errorRow({
        what: `${WHAT}: gaps that are seen, against vertex to triangle`,
        surface: 'real',
        on: `${real.length} contacts of one person's separate crowns`,
        errors: gapsSeen(real).map(errorMm),
        worstBound: 0.05,
        test: TEST,
      }),
    );
    return rows;
  },
};

function touchingRow(made: readonly SeparationRow[]): AccuracyRow {
  const touching = made.filter((row) => row.truthMm === 0);
  const gaps = gapsSeen(touching).map((row) => row.found!.separationMm);
  const above = gaps.filter((mm) => mm > 0.15);
  return {
    what: `${WHAT}: crowns that touch`,
    surface: 'synthetic',
    on: ON,
    n: touching.length,
    typical: `${above.length} seen apart by over 0.15 mm`,
    worst: `${Math.max(0, ...gaps).toFixed(2)} mm`,
    bound: 'at most 1',
    holds: above.length <= 1,
    test: TEST,
  };
}

function joinedRow(made: readonly SeparationRow[]): AccuracyRow {
  const joined = made.filter((row) => row.found?.separationMm === 0);
  const apart = joined.filter((row) => row.truthMm > 0.1);
  const worst = Math.max(...joined.map((row) => row.truthMm));
  return {
    what: `${WHAT}: taken as joined, 0`,
    surface: 'synthetic',
    on: ON,
    n: joined.length,
    typical: `${apart.length} truly apart by over 0.1 mm`,
    worst: `${worst.toFixed(2)} mm`,
    bound: 'under 5 %, worst 0.35 mm',
    holds: apart.length / joined.length < 0.05 && worst < 0.35,
    test: TEST,
  };
}
