import type { PlacedMark } from '../../../src/core/marks/Mark.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { crowdedTeeth, ellipseCurve, markArch } from '../../support/markArches.ts';
import type { BenchCase } from '../BenchCase.ts';

const REPEATS = 30;

/** Marks of a crowded arch with one contact point moved a little further each time, as when it is dragged. */
function dragged(): () => unknown {
  const { input } = markArch({
    jaw: 'lower',
    curve: ellipseCurve(27, 45),
    limit: 2.2,
    teeth: crowdedTeeth('lower', 4, 3),
  });
  const inputs = Array.from({ length: REPEATS }, (_, step) => ({
    ...input,
    marks: input.marks.map(
      (m): PlacedMark =>
        m.tooth === 31 && m.site === 'mesial'
          ? { ...m, pointMm: [m.pointMm[0] + 0.01 * step, m.pointMm[1], m.pointMm[2]] }
          : m,
    ),
  }));
  for (let warm = 0; warm < 3; warm++) inputs.forEach(measureArch);
  return () => inputs.map((one) => measureArch(one).line?.length.valueMm);
}

export const cases: readonly BenchCase[] = [
  {
    name: 'a moved mark: every measure of the arch (goal: under 16 ms)',
    triangles: 0,
    rounds: 7,
    setUp: () => ({ ours: dragged(), reference: null, repeats: REPEATS }),
  },
];
