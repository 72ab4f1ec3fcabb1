import { type Jaw, positionOf } from '../base/tooth.ts';
import type { Vec2, Vec3 } from '../base/Vec3.ts';
import type { ArchForm, ArchLine } from './ArchMeasures.ts';
import { type ArchMark, type ArchMarks, toothAt } from './archMarks.ts';
import { beta } from './line/beta.ts';
import type { CurveFamily } from './line/CurveFamily.ts';
import { catenary } from './line/catenary.ts';
import { conic } from './line/conic.ts';
import { curveLength } from './line/curveLength.ts';
import { lengthGradient, type ScaledPoints } from './line/lengthGradient.ts';
import { polynomial } from './line/polynomial.ts';
import { footPoint, type RobustFit, robustFit, signedDistance } from './line/robustFit.ts';
import { spline } from './line/spline.ts';
import { sdByMarks } from './propagate.ts';

/**
 * Distance from the line at which a contact point has no say, as a share of half the first molars' distance;
 * about 1.5 mm in an adult arch. Chosen by measuring, see archLine.
 */
export const CUT_SHARE = 0.07;

/** Smoothing of the spline: see archLine. */
export const SPLINE = { smoothing: 3e-3, order: 3 } as const;

const DRAWN_POINTS = 129;

const FAMILIES: readonly CurveFamily[] = [
  spline(SPLINE),
  polynomial(4),
  polynomial(6),
  beta,
  catenary,
  conic,
];

/** The contact points an arch line is laid through, and where its length begins and ends. */
export interface LinePoints {
  readonly marks: readonly ArchMark[]; // right to left
  readonly right: number; // index of the right first molar's mesial contact point
  readonly left: number;
}

/**
 * Contact points for the arch line: mesial and distal of every marked tooth up to the second molars, in order
 * from the patient's right to left. Null when a first molar's mesial contact point is not there.
 */
export function linePoints(jaw: Jaw, marks: ArchMarks): LinePoints | null {
  const order = marks.teeth.filter((tooth) => positionOf(tooth) <= 7);
  const used: ArchMark[] = [];
  for (const tooth of order) {
    const right = Math.floor(tooth / 10) % 4 === 1 || Math.floor(tooth / 10) % 4 === 0;
    for (const site of right ? (['distal', 'mesial'] as const) : (['mesial', 'distal'] as const)) {
      const mark = marks.find(tooth, site);
      if (mark) used.push(mark);
    }
  }
  const end = (side: 'right' | 'left'): number =>
    used.findIndex((m) => m.tooth === toothAt(jaw, side, 6) && m.site === 'mesial');
  const [right, left] = [end('right'), end('left')];
  return right < 0 || left < 0 ? null : { marks: used, right, left };
}

/** Lays plane points in the arch's own frame: the ends at (−1, 0) and (1, 0), front up. */
function scalePoints(plane: readonly Vec2[], right: number, left: number): ScaledPoints {
  const [a, b] = [plane[right], plane[left]];
  const unitMm = Math.hypot(b[0] - a[0], b[1] - a[1]) / 2;
  const ex: Vec2 = [(b[0] - a[0]) / 2 / unitMm, (b[1] - a[1]) / 2 / unitMm];
  const up = ex[0] > 0 ? 1 : -1; // forward is +y of the arch frame
  const ey: Vec2 = [-up * ex[1], up * ex[0]];
  const [ox, oy] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const points = plane.map(([x, y]): Vec2 => {
    const [dx, dy] = [(x - ox) / unitMm, (y - oy) / unitMm];
    return [dx * ex[0] + dy * ex[1], dx * ey[0] + dy * ey[1]];
  });
  return { points, unitMm, axes: [ex, ey] };
}

/** A fitted line with what later measures need of it. */
export interface FittedLine {
  readonly line: ArchLine;
  readonly marks: readonly ArchMark[];
  readonly gradients: readonly Vec3[]; // of the length, by `marks`, arch frame
  /** Place of a plane point along the line, mm from the right first molar's mesial contact point, and outward of it. */
  place(point: Vec2): { readonly alongMm: number; readonly outwardMm: number };
}

function lineOf(
  form: ArchForm,
  at: LinePoints,
  plane: readonly Vec2[],
  scaled: ScaledPoints,
  fit: RobustFit,
) {
  const { family, parameters: p, feet } = fit;
  const { unitMm, axes } = scaled;
  const [ox, oy] = [
    (plane[at.right][0] + plane[at.left][0]) / 2,
    (plane[at.right][1] + plane[at.left][1]) / 2,
  ];
  const from = feet[at.right];
  const to = feet[at.left];
  if (!(to > from)) return null;
  const valueMm = unitMm * curveLength(family, p, from, to);
  const rescale = (index: number, moveMm: Vec2): ScaledPoints =>
    scalePoints(
      plane.map(([x, y], i): Vec2 => (i === index ? [x + moveMm[0], y + moveMm[1]] : [x, y])),
      at.right,
      at.left,
    );
  const inPlane = lengthGradient(fit, scaled, at, rescale);
  if (!inPlane) return null;
  const gradients = inPlane.map(([x, y]): Vec3 => [x, y, 0]);
  const c = new Float64Array(6);
  const pointAt = (t: number): Vec2 => {
    family.at(p, t, c);
    return [
      ox + unitMm * (c[0] * axes[0][0] + c[1] * axes[1][0]),
      oy + unitMm * (c[0] * axes[0][1] + c[1] * axes[1][1]),
    ];
  };
  const normal = new Float64Array(2);
  const placeOf = (point: Vec2, t: number) => ({
    alongMm: unitMm * (t >= from ? curveLength(family, p, from, t) : -curveLength(family, p, t, from)),
    outwardMm: unitMm * signedDistance(family, p, point, t, normal),
  });
  const place = (point: Vec2) => {
    const [dx, dy] = [(point[0] - ox) / unitMm, (point[1] - oy) / unitMm];
    const own: Vec2 = [dx * axes[0][0] + dy * axes[0][1], dx * axes[1][0] + dy * axes[1][1]];
    let guess = feet[0];
    let nearest = Number.POSITIVE_INFINITY;
    scaled.points.forEach((other, i) => {
      const d = Math.hypot(other[0] - own[0], other[1] - own[1]);
      if (d < nearest) [nearest, guess] = [d, feet[i]];
    });
    return placeOf(own, footPoint(family, p, own, guess, 20));
  };
  const total = fit.weights.reduce((sum, w) => sum + w, 0);
  const line: ArchLine = {
    form,
    length: { valueMm, sdMm: sdByMarks(at.marks, gradients) },
    fitRmsMm: unitMm * Math.sqrt(fit.weights.reduce((s, w, i) => s + w * fit.distances[i] ** 2, 0) / total),
    pointsInOcclusalPlane: Array.from({ length: DRAWN_POINTS }, (_, k) =>
      pointAt(from + ((to - from) * k) / (DRAWN_POINTS - 1)),
    ),
    weights: at.marks.map((mark, i) => ({
      tooth: mark.tooth,
      site: mark.site as 'mesial' | 'distal',
      weight: fit.weights[i],
      ...placeOf(scaled.points[i], feet[i]),
    })),
  };
  return { line, marks: at.marks, gradients, place };
}

/**
 * Arch line: smooth curve in the occlusal plane through the majority of the contact points, and its length
 * from the mesial contact point of one first molar to that of the other (their nearest points on the curve).
 * Every form is fitted to orthogonal distances with bisquare weights (robustFit), so a displaced tooth drops
 * out. A form that cannot be fitted is left out.
 */
export function archLines(at: LinePoints): readonly FittedLine[] {
  const plane = at.marks.map((mark) => mark.inPlane);
  const scaled = scalePoints(plane, at.right, at.left);
  return FAMILIES.flatMap((family) => {
    const fit = robustFit(family, scaled.points, CUT_SHARE);
    const line = fit && lineOf(family.form, at, plane, scaled, fit);
    return line ? [line] : [];
  });
}
