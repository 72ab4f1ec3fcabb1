import type { Jaw, Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { Estimate, MeasureWarning } from './ArchMeasures.ts';
import { type ArchMark, type ArchMarks, toothAt } from './archMarks.ts';
import { propagate } from './propagate.ts';

export interface ArchWidths {
  readonly intercanine: Estimate | null;
  readonly interpremolar: Estimate | null; // first premolars
  readonly intermolar: Estimate | null; // first molars
  readonly warnings: readonly MeasureWarning[];
}

const centre = (points: readonly Vec3[]): readonly [number, number] => [
  points.reduce((s, p) => s + p[0], 0) / points.length,
  points.reduce((s, p) => s + p[1], 0) / points.length,
];

const capital = (word: string): string => word[0].toUpperCase() + word.slice(1);

function across(jaw: Jaw, marks: ArchMarks, name: string, position: number) {
  const pair: readonly Tooth[] = [toothAt(jaw, 'right', position), toothAt(jaw, 'left', position)];
  const cusps = pair.map((tooth) => marks.find(tooth, 'cusp'));
  const between = (perSide: number) => (points: readonly Vec3[]) => {
    const [a, b] = [centre(points.slice(0, perSide)), centre(points.slice(perSide))];
    return Math.hypot(a[0] - b[0], a[1] - b[1]);
  };
  if (cusps.every((mark) => mark !== null))
    return { width: propagate(cusps as ArchMark[], between(1)), warnings: [] };
  const contacts = pair.flatMap((tooth) => [marks.find(tooth, 'mesial'), marks.find(tooth, 'distal')]);
  if (contacts.every((mark) => mark !== null))
    return {
      width: propagate(contacts as ArchMark[], between(2)),
      warnings: [
        {
          code: `${name}-from-contacts`,
          message: `${capital(name)} width is taken between crown centres (half way between mesial and distal contact points), because the cusps of ${pair.join(' and ')} are not both marked. Do not compare it with cusp-to-cusp figures.`,
          teeth: pair,
        },
      ],
    };
  const missing = pair.filter(
    (tooth, i) => !cusps[i] && !(marks.find(tooth, 'mesial') && marks.find(tooth, 'distal')),
  );
  return {
    width: null,
    warnings: [
      {
        code: `${name}-missing`,
        message: `${capital(name)} width needs the cusps, or both contact points, of ${pair.join(' and ')}; missing on ${(missing.length > 0 ? missing : pair).join(', ')}.`,
        teeth: missing.length > 0 ? missing : pair,
      },
    ],
  };
}

/**
 * Widths across the arch in the occlusal plane, between the cusp marks of a pair (canine tip, buccal cusp of
 * the first premolar, mesiobuccal cusp of the first molar); without cusp marks between crown centres, half way
 * between each tooth's contact points, and a warning says so.
 *
 * Units:    mm; null when neither can be had.
 * Accuracy: exact for exact marks — tests/core/measure/acrossTheArch.test.ts.
 * Source:   common practice, no source.
 */
export function archWidths(jaw: Jaw, marks: ArchMarks): ArchWidths {
  const canine = across(jaw, marks, 'intercanine', 3);
  const premolar = across(jaw, marks, 'interpremolar', 4);
  const molar = across(jaw, marks, 'intermolar', 6);
  const plain = (e: Estimate | null) => e && { valueMm: e.valueMm, sdMm: e.sdMm };
  return {
    intercanine: plain(canine.width),
    interpremolar: plain(premolar.width),
    intermolar: plain(molar.width),
    warnings: [...canine.warnings, ...premolar.warnings, ...molar.warnings],
  };
}
