import type { Jaw } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { Estimate, MeasureWarning } from './ArchMeasures.ts';
import { type ArchMark, type ArchMarks, toothAt } from './archMarks.ts';
import { propagate } from './propagate.ts';

/** A length with the marks it rests on and its gradient by each, arch frame. */
export interface MarkedLength extends Estimate {
  readonly marks: readonly ArchMark[];
  readonly gradients: readonly Vec3[];
}

const chord = (a: Vec3, b: Vec3): number => Math.hypot(a[0] - b[0], a[1] - b[1]);
const middle = (a: Vec3, b: Vec3): Vec3 => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];

/**
 * Arch perimeter by straight pieces in the occlusal plane; the midline is half way between the central
 * incisors' mesial contact points.
 *
 * Four: per side first molar mesial – canine mesial – midline.
 * Six:  per side first molar mesial – canine distal – canine mesial – midline.
 *
 * Units:    mm; null, with the missing marks named, when a corner is not there.
 * Accuracy: exact for exact marks — tests/core/measure/acrossTheArch.test.ts.
 * Source:   four: Proffit WR, Contemporary Orthodontics, from memory; six: a variant seen in public use, no
 *           primary source. Both leave the chords' shortfall from the curve in the result.
 */
export function archSegments(
  jaw: Jaw,
  marks: ArchMarks,
  pieces: 4 | 6,
): { readonly length: MarkedLength | null; readonly warnings: readonly MeasureWarning[] } {
  const wanted = (['right', 'left'] as const).flatMap((side) => [
    [toothAt(jaw, side, 6), 'mesial'] as const,
    ...(pieces === 6 ? [[toothAt(jaw, side, 3), 'distal'] as const] : []),
    [toothAt(jaw, side, 3), 'mesial'] as const,
    [toothAt(jaw, side, 1), 'mesial'] as const,
  ]);
  const found = wanted.map(([tooth, site]) => marks.find(tooth, site));
  const missing = wanted.filter((_, i) => !found[i]);
  if (missing.length > 0)
    return {
      length: null,
      warnings: [
        {
          code: pieces === 4 ? 'four-segments-missing' : 'six-segments-missing',
          message: `Perimeter by ${pieces === 4 ? 'four' : 'six'} segments needs the contact point${missing.length > 1 ? 's' : ''} ${missing.map(([t, s]) => `${t} ${s}`).join(', ')}.`,
          teeth: missing.map(([tooth]) => tooth),
        },
      ],
    };
  const used = found as ArchMark[];
  const perSide = used.length / 2;
  const value = (points: readonly Vec3[]): number => {
    const front = middle(points[perSide - 1], points[2 * perSide - 1]);
    let sum = 0;
    for (const start of [0, perSide]) {
      for (let i = start; i < start + perSide - 2; i++) sum += chord(points[i], points[i + 1]);
      sum += chord(points[start + perSide - 2], front);
    }
    return sum;
  };
  return { length: { ...propagate(used, value), marks: used }, warnings: [] };
}
