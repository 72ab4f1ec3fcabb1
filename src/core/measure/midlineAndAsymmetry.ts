import type { Jaw, Tooth } from '../base/tooth.ts';
import type { Vec2, Vec3 } from '../base/Vec3.ts';
import type { Estimate, MeasureWarning } from './ArchMeasures.ts';
import { type ArchMark, type ArchMarks, toothAt } from './archMarks.ts';
import { propagate } from './propagate.ts';

/** An axis in the occlusal plane: a point on it and its direction, forward. */
interface Axis {
  readonly point: Vec2;
  readonly direction: Vec2;
}

/**
 * The line in which the right points mirror best on the left ones (least squares). With right points r and
 * left l, it passes half way between their means; its direction is the top eigenvector of
 * 4 Σ sym(l̃ r̃ᵀ) − n δδᵀ, δ = mean l − mean r.
 */
export function pairedMirrorAxis(right: readonly Vec2[], left: readonly Vec2[]): Axis {
  const n = right.length;
  const mean = (points: readonly Vec2[]): Vec2 => [
    points.reduce((s, p) => s + p[0], 0) / n,
    points.reduce((s, p) => s + p[1], 0) / n,
  ];
  const [mr, ml] = [mean(right), mean(left)];
  const delta: Vec2 = [ml[0] - mr[0], ml[1] - mr[1]];
  let [xx, xy, yy] = [-n * delta[0] ** 2, -n * delta[0] * delta[1], -n * delta[1] ** 2];
  for (let i = 0; i < n; i++) {
    const r = [right[i][0] - mr[0], right[i][1] - mr[1]];
    const l = [left[i][0] - ml[0], left[i][1] - ml[1]];
    xx += 4 * l[0] * r[0];
    yy += 4 * l[1] * r[1];
    xy += 2 * (l[0] * r[1] + l[1] * r[0]);
  }
  const angle = Math.atan2(2 * xy, xx - yy) / 2; // direction of the larger eigenvalue
  const forward = Math.sin(angle) >= 0 ? 1 : -1;
  return {
    point: [(mr[0] + ml[0]) / 2, (mr[1] + ml[1]) / 2],
    direction: [forward * Math.cos(angle), forward * Math.sin(angle)],
  };
}

/** Fewest pairs of points from which an axis is laid. */
const FEWEST_PAIRS = 4;

const mirrored = (axis: Axis, p: Vec2): Vec2 => {
  const d = [p[0] - axis.point[0], p[1] - axis.point[1]];
  const along = d[0] * axis.direction[0] + d[1] * axis.direction[1];
  return [
    axis.point[0] + 2 * along * axis.direction[0] - d[0],
    axis.point[1] + 2 * along * axis.direction[1] - d[1],
  ];
};

const pairsOf = (jaw: Jaw, marks: ArchMarks, positions: readonly number[]) =>
  positions.flatMap((position) =>
    (['mesial', 'distal'] as const).flatMap((site) => {
      const right = marks.find(toothAt(jaw, 'right', position), site);
      const left = marks.find(toothAt(jaw, 'left', position), site);
      return right && left ? [[right, left] as const] : [];
    }),
  );

const flat = (p: Vec3): Vec2 => [p[0], p[1]];

/**
 * Midline offset and arch asymmetry, in the occlusal plane.
 *
 * Offset: distance of the point half way between the central incisors' mesial contact points from the axis in
 * which the back teeth (canine to first molar, contact points marked on both sides) mirror best; positive
 * toward arch-frame +x (the patient's right in a lower arch, left in an upper).
 * Asymmetry: RMS distance of left contact points from the mirrored right ones about the axis that makes it
 * least, over every tooth up to the first molars marked on both sides.
 *
 * Units:    mm; null with a warning when fewer than four pairs of points, or no midline, can be had.
 * Accuracy: exact for exact marks — tests/core/measure/acrossTheArch.test.ts.
 * Source:   our definition.
 */
export function midlineAndAsymmetry(
  jaw: Jaw,
  marks: ArchMarks,
): {
  readonly midlineOffset: Estimate | null;
  readonly asymmetry: Estimate | null;
  readonly warnings: readonly MeasureWarning[];
} {
  const warnings: MeasureWarning[] = [];
  const centrals: readonly Tooth[] = [toothAt(jaw, 'right', 1), toothAt(jaw, 'left', 1)];
  const front = centrals.flatMap((tooth) => marks.find(tooth, 'mesial') ?? []);
  const back = pairsOf(jaw, marks, [3, 4, 5, 6]);
  const all = pairsOf(jaw, marks, [1, 2, 3, 4, 5, 6]);
  let midlineOffset: Estimate | null = null;
  if (front.length < 2 || back.length < FEWEST_PAIRS)
    warnings.push({
      code: 'midline-missing',
      message: `Midline offset needs the mesial contact points of ${centrals.join(' and ')} and at least ${FEWEST_PAIRS} pairs of contact points from canine to first molar; got ${front.length} and ${back.length}.`,
    });
  else {
    const used: readonly ArchMark[] = [...front, ...back.flat()];
    const { valueMm, sdMm } = propagate(used, (points) => {
      const plane = points.map(flat);
      const axis = pairedMirrorAxis(
        plane.filter((_, i) => i >= 2 && i % 2 === 0),
        plane.filter((_, i) => i >= 2 && i % 2 === 1),
      );
      const dx = (plane[0][0] + plane[1][0]) / 2 - axis.point[0];
      const dy = (plane[0][1] + plane[1][1]) / 2 - axis.point[1];
      return dx * axis.direction[1] - dy * axis.direction[0];
    });
    midlineOffset = { valueMm, sdMm };
  }
  let asymmetry: Estimate | null = null;
  if (all.length < FEWEST_PAIRS)
    warnings.push({
      code: 'asymmetry-missing',
      message: `Arch asymmetry needs at least ${FEWEST_PAIRS} pairs of contact points marked on both sides; got ${all.length}.`,
    });
  else {
    const { valueMm, sdMm } = propagate(all.flat(), (points) => {
      const right = points.filter((_, i) => i % 2 === 0).map(flat);
      const left = points.filter((_, i) => i % 2 === 1).map(flat);
      const axis = pairedMirrorAxis(right, left);
      const sum = right.reduce((s, r, i) => {
        const m = mirrored(axis, r);
        return s + (m[0] - left[i][0]) ** 2 + (m[1] - left[i][1]) ** 2;
      }, 0);
      return Math.sqrt(sum / right.length);
    });
    asymmetry = { valueMm, sdMm };
  }
  return { midlineOffset, asymmetry, warnings };
}
