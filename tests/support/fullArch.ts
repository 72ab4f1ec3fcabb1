import type { Vec3 } from '../../src/core/base/Vec3.ts';
import type { PlacedMark } from '../../src/core/marks/Mark.ts';
import type { MeasureInput } from '../../src/core/measure/ArchMeasures.ts';
import { crowdedTeeth, ellipseCurve, markArch, UPRIGHT } from './markArches.ts';

/** A crowded arch with cusps and edges marked as well, so that every measure is had. */
export function fullArch(jaw: 'upper' | 'lower', seed = 4): MeasureInput {
  const { input } = markArch({
    jaw,
    curve: ellipseCurve(27, 45),
    limit: 2.2,
    teeth: crowdedTeeth(jaw, 3, seed),
    frame: UPRIGHT,
    heightMm: ([x, y]) => 0.03 * x - 0.02 * y,
  });
  const extra: PlacedMark[] = [];
  for (const tooth of new Set(input.marks.map((m) => m.tooth))) {
    const [a, b] = input.marks.filter((m) => m.tooth === tooth).map((m) => m.pointMm);
    const position = tooth % 10;
    const up = 3 - [0, 0, 0, 0.8, 1.4, 1.6, 1.1, 0][position];
    const pointMm: Vec3 = [(a[0] + b[0]) / 2 + 0.1, (a[1] + b[1]) / 2 - 0.2, (a[2] + b[2]) / 2 + up];
    extra.push({
      tooth,
      site: position <= 2 ? 'incisal' : 'cusp',
      pointMm,
      state: 'confirmed',
      confidence: null,
    });
  }
  return { ...input, marks: [...input.marks, ...extra], surfaceSeparations: [] };
}
