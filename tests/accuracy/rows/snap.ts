import { hasSharedScans } from '../../support/sharedScans.ts';
import { type SnapRow, snapArches, snapGenerated, snapReal } from '../../support/snapExperiment.ts';
import { type AccuracyGroup, type AccuracyRow, errorRow } from '../AccuracyRow.ts';

const TEST = 'tests/core/marks/snapAccuracy.test.ts';

const errors = (rows: readonly SnapRow[]): readonly number[] => rows.map((r) => r.errorMm);

/** Clicks up to 0.6 mm off the true contact point, snapped. */
export const snap: AccuracyGroup = {
  name: 'snap',
  rows: async (progress) => {
    const made = snapArches().flatMap((arch) => {
      progress(`${arch.kind} ${arch.name}`);
      return snapGenerated(arch);
    });
    const what = 'Width, both points clicked up to 0.6 mm off and snapped';
    const rows: AccuracyRow[] = (['shipped', 'generated'] as const).map((kind) => {
      const own = made.filter((r) => r.kind === kind);
      const arches = new Set(own.map((r) => r.arch)).size;
      const on = `${arches} ${kind === 'shipped' ? 'shipped samples' : 'generated arches that are not shipped'}`;
      return errorRow({
        what,
        surface: 'synthetic',
        on,
        errors: errors(own),
        rmsBound: 0.1,
        worstBound: 0.4,
        test: TEST,
      });
    });
    rows.push(
      errorRow({
        what: 'The same clicks, not snapped',
        surface: 'synthetic',
        on: 'all of these',
        errors: made.map((r) => r.clickedErrorMm),
        test: TEST,
      }),
    );
    if (!hasSharedScans) return rows;
    const real = async (names: readonly Parameters<typeof snapReal>[0][], on: string, rmsBound: number) => {
      const own: SnapRow[] = [];
      for (const name of names) {
        progress(`real ${name}`);
        own.push(...(await snapReal(name)));
      }
      const of = 'Width, clicks snapped, against labelled faces';
      const common = { surface: 'real', on, rmsBound, test: TEST } as const;
      rows.push(
        errorRow({ ...common, what: `${of}: straight distance`, errors: errors(own) }),
        errorRow({ ...common, what: `${of}: along the arch`, errors: own.map((r) => r.alongErrorMm!) }),
      );
    };
    await real(['crowns-a-lower', 'crowns-a-upper'], '28 separate crowns of one person, 4 times each', 0.15);
    await real(['arch-b-upper'], 'one whole arch with webs in its contacts; labels good to 0.35 mm', 0.35);
    return rows;
  },
};
