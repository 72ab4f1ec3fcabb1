import { Matrix, solve } from 'ml-matrix';
import { hypot2 } from '../base/hypot.ts';
import { Refusal } from '../base/refusal.ts';
import type { Vec2 } from '../base/Vec3.ts';

/**
 * The course of the dental arch over the occlusal plane: a line along the middle of the crowns, from the
 * arch-frame −x end round the front to the +x end. `stationMm` runs along it, `asideMm` is the distance
 * outward (toward lips and cheeks) from it.
 */
export interface ArchCourse {
  readonly pointsMm: readonly Vec2[]; // evenly spaced, STEP_MM apart
  readonly lengthMm: number;
}

const STEP_MM = 0.25;
const BAND_MM = 3; // crowns' upper 3 mm carry the course
const BINS = 72;
const OVERRUN_MM = 8; // the last molars may reach past the last full direction
const DEGREE = 6;
const CHORD_MM = 8;
const HEADING_MM = 1.5;
const HOOK_RAD = (110 * Math.PI) / 180;
const CROWN_REACH_MM = 8;
const EVEN_MM = 4;
const LOWEST_TOP_MM = -6; // no crown's top lies deeper below the occlusal plane

/**
 * Finds the course from points of the surface given in the arch frame.
 *
 * Shape:    points — flat, 3 per point, arch frame; z = 0 near the cusp tips.
 * Units:    mm.
 * Refuses:  'not-an-arch' where fewer than a dozen directions hold crown surface.
 */
export function archCourse(points: Float32Array): ArchCourse {
  const high: number[] = [];
  for (let i = 0; i < points.length; i += 3) if (points[i + 2] > -BAND_MM) high.push(i);
  const xs = Float32Array.from(high, (i) => points[i]).sort();
  const ys = Float32Array.from(high, (i) => points[i + 1]).sort();
  const at = (sorted: Float32Array, share: number) => sorted[Math.floor(share * (sorted.length - 1))];
  if (high.length < 200) throw notAnArch(high.length);
  const front = at(ys, 0.995);
  const centre: Vec2 = [(at(xs, 0.01) + at(xs, 0.99)) / 2, front - 0.62 * (front - at(ys, 0.005))];
  const samples = medianRadii(points, high, centre);
  if (samples.length < 12) throw notAnArch(samples.length);
  const radius = robustRadius(samples);
  const from = samples[0][0] - 0.08;
  const to = samples[samples.length - 1][0] + 0.08;
  let course = evenly(
    (angle) => {
      const r = radius(angle);
      return [centre[0] + r * Math.sin(angle), centre[1] + r * Math.cos(angle)];
    },
    from,
    to,
  );
  for (let pass = 0; pass < 2; pass++) course = centred(course, points);
  return course;
}

const notAnArch = (got: number) =>
  new Refusal(
    'not-an-arch',
    `archCourse: no arch of crowns stands at the occlusal plane; got ${got} places with crown surface. Check the jaw and the frame.`,
  );

/** Median distance from the centre in each direction that holds enough crown surface, front at angle 0. */
function medianRadii(points: Float32Array, high: readonly number[], centre: Vec2): readonly Vec2[] {
  const bins: number[][] = Array.from({ length: BINS }, () => []);
  for (const i of high) {
    const dx = points[i] - centre[0];
    const dy = points[i + 1] - centre[1];
    const turn = (Math.atan2(dx, dy) + Math.PI) / (2 * Math.PI);
    bins[Math.min(BINS - 1, Math.floor(turn * BINS))].push(hypot2(dx, dy));
  }
  const enough = 0.15 * (high.length / BINS);
  const samples: Vec2[] = [];
  bins.forEach((radii, bin) => {
    if (radii.length < enough) return;
    radii.sort((a, b) => a - b);
    samples.push([((bin + 0.5) / BINS) * 2 * Math.PI - Math.PI, radii[radii.length >> 1]]);
  });
  return samples;
}

/** Polynomial in the angle, reweighted so that a displaced tooth does not pull it. */
function robustRadius(samples: readonly Vec2[]): (angle: number) => number {
  const row = (angle: number) => Array.from({ length: DEGREE + 1 }, (_, k) => (angle / 2.2) ** k);
  const rows = samples.map(([angle]) => row(angle));
  let weights = samples.map(() => 1);
  let coefficients: number[] = [];
  const value = (r: readonly number[]) => r.reduce((sum, x, k) => sum + x * coefficients[k], 0);
  for (let pass = 0; pass < 8; pass++) {
    const normal = Matrix.eye(DEGREE + 1).mul(1e-6);
    const right = Matrix.zeros(DEGREE + 1, 1);
    rows.forEach((r, i) => {
      for (let j = 0; j <= DEGREE; j++) {
        right.set(j, 0, right.get(j, 0) + weights[i] * r[j] * samples[i][1]);
        for (let k = 0; k <= DEGREE; k++) normal.set(j, k, normal.get(j, k) + weights[i] * r[j] * r[k]);
      }
    });
    coefficients = solve(normal, right).to1DArray();
    const residuals = rows.map((r, i) => Math.abs(value(r) - samples[i][1]));
    const reach = 4 * [...residuals].sort((a, b) => a - b)[residuals.length >> 1] + 0.3;
    weights = residuals.map((r) => (r < reach ? (1 - (r / reach) ** 2) ** 2 : 0));
  }
  return (angle) => value(row(angle));
}

function evenly(curve: (parameter: number) => Vec2, from: number, to: number): ArchCourse {
  return spaced(Array.from({ length: 2001 }, (_, k) => curve(from + ((to - from) * k) / 2000)));
}

/** A polyline walked in even steps and carried straight on past both ends. */
function spaced(fine: readonly Vec2[]): ArchCourse {
  let pointsMm: Vec2[] = [fine[0]];
  let travelled = 0;
  let next = STEP_MM;
  for (let k = 1; k < fine.length; k++) {
    const [ax, ay] = fine[k - 1];
    const [bx, by] = fine[k];
    const piece = hypot2(bx - ax, by - ay);
    while (next <= travelled + piece) {
      const ratio = (next - travelled) / piece;
      pointsMm.push([ax + (bx - ax) * ratio, ay + (by - ay) * ratio]);
      next += STEP_MM;
    }
    travelled += piece;
  }
  pointsMm = withoutHooks(pointsMm);
  const chord = Math.round(CHORD_MM / STEP_MM);
  const whole = [
    ...[...straightOn(pointsMm, 0, chord)].reverse(),
    ...pointsMm,
    ...straightOn(pointsMm, pointsMm.length - 1, -chord),
  ];
  return { pointsMm: whole, lengthMm: (whole.length - 1) * STEP_MM };
}

const THINNING = 4; // every fourth point is plenty for a middle line

/** Moves a course to the middle of the crowns it runs over, evened out over a tooth's width or so. */
function centred(course: ArchCourse, all: Float32Array): ArchCourse {
  const points = Float32Array.from(
    { length: 3 * Math.floor(all.length / (3 * THINNING)) },
    (_, i) => all[Math.floor(i / 3) * 3 * THINNING + (i % 3)],
  );
  const { stationMm, asideMm } = stationsAlong(course, points);
  const binCount = Math.ceil(course.lengthMm);
  const tops = new Float32Array(binCount).fill(-Infinity);
  const binOf = (k: number) => {
    const bin = Math.floor(stationMm[k]);
    return bin >= 0 && bin < binCount && Math.abs(asideMm[k]) < CROWN_REACH_MM ? bin : -1;
  };
  for (let k = 0; k < stationMm.length; k++) {
    const bin = binOf(k);
    if (bin >= 0 && points[3 * k + 2] > tops[bin]) tops[bin] = points[3 * k + 2];
  }
  const bins: number[][] = Array.from({ length: binCount }, () => []);
  for (let k = 0; k < stationMm.length; k++) {
    const bin = binOf(k);
    if (bin >= 0 && points[3 * k + 2] > Math.max(LOWEST_TOP_MM, tops[bin] - BAND_MM))
      bins[bin].push(asideMm[k]);
  }
  const used = bins.flatMap((asides, bin) => {
    if (asides.length < 8) return [];
    asides.sort((a, b) => a - b);
    const low = asides[Math.floor(0.05 * asides.length)];
    const top = asides[Math.floor(0.95 * asides.length)];
    return [{ at: bin + 0.5, aside: (low + top) / 2 }];
  });
  const first = Math.max(0, Math.floor((used[0].at - 0.5) / STEP_MM));
  const last = Math.min(course.pointsMm.length - 1, Math.ceil((used[used.length - 1].at + 0.5) / STEP_MM));
  const moved: Vec2[] = [];
  for (let k = first; k <= last; k++) moved.push(shifted(course, k, evened(used, k * STEP_MM)));
  return spaced(moved);
}

/** Local straight-line fit with Gaussian weights, mm. */
function evened(samples: readonly { at: number; aside: number }[], at: number): number {
  let [s0, s1, s2, t0, t1] = [0, 0, 0, 0, 0];
  for (const sample of samples) {
    const d = sample.at - at;
    const w = Math.exp(-0.5 * (d / EVEN_MM) ** 2);
    s0 += w;
    s1 += w * d;
    s2 += w * d * d;
    t0 += w * sample.aside;
    t1 += w * d * sample.aside;
  }
  const det = s0 * s2 - s1 * s1;
  return det > 1e-9 ? (s2 * t0 - s1 * t1) / det : t0 / Math.max(s0, 1e-9);
}

function shifted(course: ArchCourse, k: number, asideMm: number): Vec2 {
  const a = course.pointsMm[Math.max(0, k - 1)];
  const b = course.pointsMm[Math.min(course.pointsMm.length - 1, k + 1)];
  const l = hypot2(b[0] - a[0], b[1] - a[1]);
  const [x, y] = course.pointsMm[k];
  return [x - ((b[1] - a[1]) / l) * asideMm, y + ((b[0] - a[0]) / l) * asideMm];
}

/** Cuts off ends that turn back inward round the last molar: past the front the course may head back, not across. */
function withoutHooks(points: readonly Vec2[]): Vec2[] {
  const reach = Math.round(HEADING_MM / STEP_MM);
  const heading = (k: number) => {
    const a = points[Math.max(0, k - reach)];
    const b = points[Math.min(points.length - 1, k + reach)];
    return Math.atan2(b[1] - a[1], b[0] - a[0]);
  };
  const middle = points.reduce((best, p, k) => (p[1] > points[best][1] ? k : best), 0);
  let first = middle;
  while (first > 0 && Math.abs(heading(first - 1)) < HOOK_RAD) first--;
  let last = middle;
  while (last < points.length - 1 && Math.abs(heading(last + 1)) < HOOK_RAD) last++;
  return points.slice(first, last + 1);
}

/** Carries the course straight on past one end, along the chord of its last millimetres. */
function straightOn(points: readonly Vec2[], end: number, inward: number): readonly Vec2[] {
  const [ex, ey] = points[end];
  const [ix, iy] = points[end + inward];
  const l = hypot2(ex - ix, ey - iy);
  const steps = Math.round(OVERRUN_MM / STEP_MM);
  return Array.from({ length: steps }, (_, k): Vec2 => {
    const d = ((k + 1) * STEP_MM) / l;
    return [ex + (ex - ix) * d, ey + (ey - iy) * d];
  });
}

/** Where points stand along the course. */
export interface Stations {
  readonly stationMm: Float32Array; // along the course, 0 at its −x end; clamped to the course
  readonly asideMm: Float32Array; // outward positive
  readonly alongX: Float32Array; // course direction at the point, arch frame
  readonly alongY: Float32Array;
}

/** Stations of points given flat in the arch frame (3 per point). */
export function stationsAlong(course: ArchCourse, points: Float32Array): Stations {
  const count = points.length / 3;
  const line = course.pointsMm;
  const last = line.length - 1;
  const stations: Stations = {
    stationMm: new Float32Array(count),
    asideMm: new Float32Array(count),
    alongX: new Float32Array(count),
    alongY: new Float32Array(count),
  };
  for (let i = 0; i < count; i++) {
    const x = points[3 * i];
    const y = points[3 * i + 1];
    const near = nearest(line, x, y);
    const a = line[Math.max(0, near - 1)];
    const b = line[Math.min(last, near + 1)];
    const l = hypot2(b[0] - a[0], b[1] - a[1]);
    const tx = (b[0] - a[0]) / l;
    const ty = (b[1] - a[1]) / l;
    const dx = x - line[near][0];
    const dy = y - line[near][1];
    stations.stationMm[i] = near * STEP_MM + dx * tx + dy * ty;
    stations.asideMm[i] = dy * tx - dx * ty;
    stations.alongX[i] = tx;
    stations.alongY[i] = ty;
  }
  return stations;
}

function nearest(line: readonly Vec2[], x: number, y: number): number {
  const stride = 12;
  let best = 0;
  let bestSquared = Infinity;
  for (let k = 0; k < line.length; k += stride) {
    const squared = (x - line[k][0]) ** 2 + (y - line[k][1]) ** 2;
    if (squared < bestSquared) {
      bestSquared = squared;
      best = k;
    }
  }
  const from = Math.max(0, best - stride);
  const to = Math.min(line.length - 1, best + stride);
  for (let k = from; k <= to; k++) {
    const squared = (x - line[k][0]) ** 2 + (y - line[k][1]) ** 2;
    if (squared < bestSquared) {
      bestSquared = squared;
      best = k;
    }
  }
  return best;
}
