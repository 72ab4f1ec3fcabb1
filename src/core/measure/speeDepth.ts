import { type Jaw, primaryOf, type Tooth } from '../base/tooth.ts';
import { cross, dot, normalize, subtract, type Vec3 } from '../base/Vec3.ts';
import type { Estimate, MeasureWarning } from './ArchMeasures.ts';
import { type ArchMark, type ArchMarks, toothAt } from './archMarks.ts';
import { propagate } from './propagate.ts';

const middle = (points: readonly Vec3[]): Vec3 => [
  points.reduce((s, p) => s + p[0], 0) / points.length,
  points.reduce((s, p) => s + p[1], 0) / points.length,
  points.reduce((s, p) => s + p[2], 0) / points.length,
];

/**
 * Depth of the curve of Spee, right and left: greatest distance of that side's cusps (canine to first molar)
 * from the plane through the middle of the central incisors' edges and the mesiobuccal cusps of the right and
 * left second molars; below the plane in a lower arch, beyond it in an upper. 0 where no cusp is. Without
 * second molar cusps the first molars end the plane, which gives less, and a warning says so. A primary tooth's
 * cusp counts where its successor has none, and a warning names it.
 *
 * Units:    mm; null with a warning where the plane, or a cusp between on that side, is not marked.
 * Accuracy: exact for exact marks — tests/core/measure/acrossTheArch.test.ts.
 * Source:   plane on incisal edges and distal molars: common practice (as in Baldridge 1969, seen quoted);
 *           mesiobuccal cusp as the end: our choice.
 */
export function speeDepth(
  jaw: Jaw,
  marks: ArchMarks,
): {
  readonly right: Estimate | null;
  readonly left: Estimate | null;
  readonly warnings: readonly MeasureWarning[];
} {
  const edges = (['right', 'left'] as const).flatMap(
    (side) => marks.find(toothAt(jaw, side, 1), 'incisal') ?? [],
  );
  const molars = (position: number) =>
    (['right', 'left'] as const).flatMap((side) => marks.find(toothAt(jaw, side, position), 'cusp') ?? []);
  const position = molars(7).length === 2 ? 7 : 6;
  const ends = molars(position);
  if (edges.length === 0 || ends.length < 2)
    return {
      right: null,
      left: null,
      warnings: [
        {
          code: 'spee-missing',
          message: `Curve of Spee needs ${[
            edges.length === 0 ? 'an incisal edge mark on a central incisor' : '',
            ends.length < 2 ? 'mesiobuccal cusp marks on both second, or both first, molars' : '',
          ]
            .filter(Boolean)
            .join(' and ')}.`,
        },
      ],
    };
  const warnings: MeasureWarning[] = [];
  if (position === 6)
    warnings.push({
      code: 'spee-from-first-molars',
      message:
        'Curve of Spee is taken to the first molars, because the second molars’ cusps are not both marked; it comes out shallower.',
    });
  const primary: Tooth[] = [];
  const oneSide = (side: 'right' | 'left'): Estimate | null => {
    const between = [3, 4, 5, 6]
      .filter((p) => p < position)
      .flatMap((p): readonly ArchMark[] => {
        const permanent = toothAt(jaw, side, p);
        const own = marks.find(permanent, 'cusp');
        if (own) return [own];
        const standing = primaryOf(permanent);
        const cusp = standing === null ? null : marks.find(standing, 'cusp');
        if (cusp && standing !== null) primary.push(standing);
        return cusp ? [cusp] : [];
      });
    if (between.length === 0) {
      warnings.push({
        code: 'spee-missing',
        message: `Curve of Spee on the ${side} needs a cusp mark between canine and molar.`,
      });
      return null;
    }
    const used: readonly ArchMark[] = [...edges, ...ends, ...between];
    const value = (points: readonly Vec3[]): number => {
      const front = middle(points.slice(0, edges.length));
      const [right, left] = points.slice(edges.length, edges.length + 2);
      let up = normalize(cross(subtract(right, front), subtract(left, front)));
      if (up[2] < 0) up = [-up[0], -up[1], -up[2]];
      const sense = jaw === 'lower' ? -1 : 1;
      return points
        .slice(edges.length + 2)
        .reduce((deepest, p) => Math.max(deepest, sense * dot(up, subtract(p, front))), 0);
    };
    const { valueMm, sdMm } = propagate(used, value);
    return { valueMm, sdMm };
  };
  const right = oneSide('right');
  const left = oneSide('left');
  if (primary.length > 0)
    warnings.push({
      code: 'spee-with-primary',
      message: `Curve of Spee counts the cusps of primary teeth: ${primary.join(', ')}. It will change when their successors stand.`,
      teeth: primary,
    });
  return { right, left, warnings };
}
