import { isRight, type Jaw, positionOf } from '../base/tooth.ts';
import type { Vec2, Vec3 } from '../base/Vec3.ts';
import type { ArchForm, ArchLine } from './ArchMeasures.ts';
import { type ArchMark, type ArchMarks, toothAt } from './archMarks.ts';
import { beta } from './line/beta.ts';
import type { CurveFamily } from './line/CurveFamily.ts';
import { catenary } from './line/catenary.ts';
import { conic } from './line/conic.ts';
import { curveLength, curveLengthFixed } from './line/curveLength.ts';
import { footPoint, signedDistance } from './line/footPoint.ts';
import { lengthSensitivity, type ScaledPoints } from './line/lengthSensitivity.ts';
import { polynomial } from './line/polynomial.ts';
import { type PointGroup, type RobustFit, robustFit } from './line/robustFit.ts';
import { spline } from './line/spline.ts';
import { sdByMarks } from './propagate.ts';

const DRAWN_POINTS = 129;
/** Midpoint steps by which a tooth's arc is walked; the curve's speed changes little within one. */
const ARC_STEPS = 8;

const FAMILIES: readonly CurveFamily[] = [spline, polynomial(4), polynomial(6), beta, catenary, conic];

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

/** Place of a point along a line: mm from the right first molar's mesial contact point, and outward of the line. */
export interface LinePlace {
  readonly alongMm: number;
  readonly outwardMm: number;
}

/** A fitted line with what later measures need of it. */
export interface FittedLine {
  readonly line: ArchLine;
  readonly marks: readonly ArchMark[];
  readonly gradients: readonly Vec3[]; // of the length, by `marks`, arch frame
  place(mark: ArchMark): LinePlace;
}

/** Arc lengths from `feet[origin]` to every foot, summed piece by piece in order along the curve. */
function arcLengths(fit: RobustFit, origin: number): Float64Array {
  const { family, parameters: p, feet } = fit;
  const order = [...feet.keys()].sort((a, b) => feet[a] - feet[b]);
  const along = new Float64Array(feet.length);
  for (let k = 1; k < order.length; k++)
    along[order[k]] =
      along[order[k - 1]] + curveLengthFixed(family, p, feet[order[k - 1]], feet[order[k]], 2);
  const zero = along[origin];
  return along.map((s) => s - zero);
}

/**
 * How much longer the curve is than straight teeth set along it: arc minus chord, summed over the teeth
 * between the first molars, each taking a part of the line in proportion to its width.
 *
 * The space account takes it off. Balance from true marks (measured − true; mean, RMS, mm) over 40 generated arches of
 * each kind, with the line as it is, and less the excess of 0.20 to 0.33 mm:
 *   aligned 0.24, 0.25 → −0.01, 0.04    spaced 4 mm 0.25, 0.26 → −0.04, 0.06    a place open 0.32, 0.33 → 0.00, 0.05
 *   crowded 1 mm 0.17, 0.20 → −0.08, 0.14    2 mm 0.15, 0.20 → −0.09, 0.18    4 mm 0.15, 0.26 → −0.08, 0.25
 *   6 mm 0.17, 0.33 → −0.05, 0.30
 * While the line of a crowded arch lay too far in (one cut-off, robustFit) the two errors nearly made up for each
 * other there: −0.19 to 0.05, 0.12 to 0.26 with the excess left in; aligned arches then read 0.25 mm too generous.
 */
function chordExcess(at: LinePoints, fit: RobustFit, arcs: Float64Array): number {
  const widths: number[] = [];
  for (let i = 0; i + 1 < at.marks.length; i++) {
    const [m, n] = [at.marks[i], at.marks[i + 1]];
    if (positionOf(m.tooth) < 6 && m.tooth === n.tooth)
      widths.push(Math.hypot(m.inPlane[0] - n.inPlane[0], m.inPlane[1] - n.inPlane[1]));
  }
  const sum = widths.reduce((s, w) => s + w, 0);
  const length = arcs[at.left];
  const { family, parameters: p, feet } = fit;
  const c = new Float64Array(6);
  let t = feet[at.right];
  let excess = 0;
  family.at(p, t, c);
  for (const width of widths) {
    const arc = (width / sum) * length;
    const [x, y] = [c[0], c[1]];
    for (let step = 0; step < ARC_STEPS; step++) {
      family.at(p, t + arc / ARC_STEPS / 2 / Math.hypot(c[2], c[3]), c);
      t += arc / ARC_STEPS / Math.hypot(c[2], c[3]);
      family.at(p, t, c);
    }
    excess += arc - Math.hypot(c[0] - x, c[1] - y);
  }
  return excess;
}

/** Neighbours, to this many teeth away, whose standing off is taken as connected: crowded teeth stand in and out by turns. */
const CONNECTED = 2;

/**
 * SD of the length from teeth standing off the line: had others stood out, the line would lie elsewhere.
 * First-order change when a tooth is left out, its two contact points together; neighbours' changes counted
 * with falling weights (Newey WK, West KD, Econometrica 1987;55:703–708, from memory), because what one tooth
 * gives way the next takes back.
 *
 * Accuracy: RMS error to about twice it on crowded arches — tests/core/measure/archLine.test.ts.
 * Rejected: lag 0 and 1, three to four and 2.3 times the error where the front stands in and out by turns (lag 2: 1.8);
 * lag 4, 1.4 times there, but 0.75 of the error in even rows and where two of four incisors stand out.
 */
function scatterSd(changes: readonly number[]): number {
  let variance = 0;
  for (let lag = 0; lag <= CONNECTED; lag++) {
    const share = (lag === 0 ? 1 : 2) * (1 - lag / (CONNECTED + 1));
    for (let i = lag; i < changes.length; i++) variance += share * changes[i] * changes[i - lag];
  }
  return Math.sqrt((changes.length / (changes.length - 1)) * Math.max(0, variance));
}

function fittedLine(
  at: LinePoints,
  plane: readonly Vec2[],
  scaled: ScaledPoints,
  groups: readonly PointGroup[],
  fit: RobustFit,
): FittedLine | null {
  const { family, parameters: p, feet } = fit;
  const { unitMm, axes } = scaled;
  const [a, b] = [plane[at.right], plane[at.left]];
  const [ox, oy] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const [from, to] = [feet[at.right], feet[at.left]];
  if (!(to > from)) return null;
  const rescale = (index: number, moveMm: Vec2): ScaledPoints =>
    scalePoints(
      plane.map(([x, y], i): Vec2 => (i === index ? [x + moveMm[0], y + moveMm[1]] : [x, y])),
      at.right,
      at.left,
    );
  const sensitivity = lengthSensitivity(fit, scaled, groups, at, rescale);
  if (!sensitivity) return null;
  const gradients = sensitivity.gradients.map(([x, y]): Vec3 => [x, y, 0]);
  const markSdMm = sdByMarks(at.marks, gradients);
  const scatterSdMm = scatterSd(sensitivity.leftOutMm);
  const c = new Float64Array(6);
  const normal = new Float64Array(2);
  const pointAt = (t: number): Vec2 => {
    family.at(p, t, c);
    return [
      ox + unitMm * (c[0] * axes[0][0] + c[1] * axes[1][0]),
      oy + unitMm * (c[0] * axes[0][1] + c[1] * axes[1][1]),
    ];
  };
  const arcs = arcLengths(fit, at.right);
  const places = feet.map((_, i) => unitMm * arcs[i]);
  const place = (mark: ArchMark): LinePlace => {
    const known = at.marks.indexOf(mark);
    if (known >= 0) return { alongMm: places[known], outwardMm: unitMm * fit.distances[known] };
    const [dx, dy] = [(mark.inPlane[0] - ox) / unitMm, (mark.inPlane[1] - oy) / unitMm];
    const own: Vec2 = [dx * axes[0][0] + dy * axes[0][1], dx * axes[1][0] + dy * axes[1][1]];
    const nearest = scaled.points
      .map((other, i) => [Math.hypot(other[0] - own[0], other[1] - own[1]), i] as const)
      .reduce((best, item) => (item[0] < best[0] ? item : best))[1];
    const t = footPoint(family, p, own, feet[nearest], 20);
    return {
      alongMm: places[nearest] + unitMm * curveLength(family, p, feet[nearest], t),
      outwardMm: unitMm * signedDistance(family, p, own, t, normal),
    };
  };
  const total = fit.weights.reduce((sum, w) => sum + w, 0);
  const line: ArchLine = {
    form: family.form,
    length: { valueMm: places[at.left], sdMm: Math.hypot(markSdMm, scatterSdMm) },
    markSdMm,
    scatterSdMm,
    chordExcessMm: unitMm * chordExcess(at, fit, arcs),
    fitRmsMm: unitMm * Math.sqrt(fit.weights.reduce((s, w, i) => s + w * fit.distances[i] ** 2, 0) / total),
    pointsInOcclusalPlane: Array.from({ length: DRAWN_POINTS }, (_, k) =>
      pointAt(from + ((to - from) * k) / (DRAWN_POINTS - 1)),
    ),
    weights: at.marks.map((mark, i) => ({
      tooth: mark.tooth,
      site: mark.site as 'mesial' | 'distal',
      weight: fit.weights[i],
      ...place(mark),
    })),
  };
  return { line, marks: at.marks, gradients, place };
}

/**
 * Arch line: smooth curve in the occlusal plane through the majority of the contact points, and its length
 * from the mesial contact point of one first molar to that of the other (their nearest points on the curve).
 * Every form is fitted to orthogonal distances with bisquare weights (robustFit), so a displaced tooth drops
 * out. A form that cannot be fitted is left out; the beta function, whose width is that at the second molars,
 * when one of them is not marked.
 */
export function archLines(at: LinePoints, forms?: ReadonlySet<ArchForm>): readonly FittedLine[] {
  const plane = at.marks.map((mark) => mark.inPlane);
  const scaled = scalePoints(plane, at.right, at.left);
  const teeth = [...new Set(at.marks.map((mark) => mark.tooth))];
  const groups = teeth.map((tooth) => at.marks.flatMap((mark, i) => (mark.tooth === tooth ? [i] : [])));
  const front = teeth.flatMap((tooth, i) => (positionOf(tooth) <= 3 ? [i] : []));
  const seconds = at.marks.filter((mark) => positionOf(mark.tooth) === 7);
  const bothSeconds = seconds.some((m) => isRight(m.tooth)) && seconds.some((m) => !isRight(m.tooth));
  return FAMILIES.flatMap((family) => {
    if (forms && !forms.has(family.form)) return [];
    if (family.form === 'beta' && !bothSeconds) return [];
    const fit = robustFit(family, scaled.points, groups, front);
    const line = fit && fittedLine(at, plane, scaled, groups, fit);
    return line ? [line] : [];
  });
}
