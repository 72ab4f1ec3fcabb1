import type { Vec2 } from '../../base/Vec3.ts';

/** Place of a point told along the arch line and outward of it, mm. */
export interface TrackPlace {
  readonly alongMm: number; // from the line's start, the right first molar's mesial contact point
  readonly outMm: number; // positive outside the arch
}

/** The line at one place: its point, the way it goes on (unit) and the way out of the arch (unit). */
export interface TrackFrame {
  readonly pointMm: Vec2;
  readonly onward: Vec2;
  readonly outward: Vec2;
}

/** The arch line as something to move along; straight on before its start and past its end. */
export interface ArchTrack {
  readonly lengthMm: number;
  at(alongMm: number): TrackFrame;
  place(pointMm: Vec2): TrackPlace;
  pointOf(place: TrackPlace): Vec2;
  /** Place on the line at this straight distance from another place on it; negative goes back. */
  chordEnd(fromMm: number, chordMm: number): number;
}

const ROOT_STEPS = 60;
const ROOT_MM = 1e-12;

/** Root of a falling function between two places, by false position with the stale end's weight halved. */
function rootBetween(low: number, high: number, value: (s: number) => number): number {
  let [a, b] = [low, high];
  let [atA, atB] = [value(a), value(b)];
  let side = 0;
  for (let i = 0; i < ROOT_STEPS && b - a > ROOT_MM; i++) {
    const middle = atA - atB > 0 ? a + ((b - a) * atA) / (atA - atB) : (a + b) / 2;
    const at = value(middle);
    if (Math.abs(at) < ROOT_MM) return middle;
    if (at > 0) {
      [a, atA] = [middle, at];
      if (side === 1) atB /= 2;
      side = 1;
    } else {
      [b, atB] = [middle, at];
      if (side === -1) atA /= 2;
      side = -1;
    }
  }
  return (a + b) / 2;
}

const unit = ([x, y]: Vec2): Vec2 => {
  const size = Math.hypot(x, y);
  return [x / size, y / size];
};

/** Directions at the points of a polyline: through both neighbours, at the ends through the one. */
function directionsOf(line: readonly Vec2[]): readonly Vec2[] {
  const last = line.length - 1;
  return line.map((_, i) => {
    const [a, b] = [line[Math.max(0, i - 1)], line[Math.min(last, i + 1)]];
    return unit([b[0] - a[0], b[1] - a[1]]);
  });
}

/**
 * The arch line as a track. Its direction turns evenly between the points of the polyline, so that the place of a
 * point and the point of a place undo each other.
 *
 * Shape:    line — two points or more, no two alike; from the patient's right to the left; arch frame.
 * Units:    mm.
 * Accuracy: place and point to 1e-9 mm of each other — tests/core/reduction/motion/archTrack.test.ts.
 */
export function archTrack(line: readonly Vec2[]): ArchTrack {
  const starts = [0];
  for (let i = 1; i < line.length; i++)
    starts.push(starts[i - 1] + Math.hypot(line[i][0] - line[i - 1][0], line[i][1] - line[i - 1][1]));
  const directions = directionsOf(line);
  const last = line.length - 1;
  const lengthMm = starts[last];
  const middle = directions[Math.floor(last / 2)];
  const side = middle[0] >= 0 ? 1 : -1; // forward, +y, is outward in front

  const at = (alongMm: number): TrackFrame => {
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const half = (low + high) >> 1;
      if (starts[half] <= alongMm) low = half;
      else high = half;
    }
    const [a, b] = [directions[low], directions[high]];
    if (alongMm <= 0 || alongMm >= lengthMm) {
      const [end, onward, over] =
        alongMm <= 0 ? [line[0], directions[0], alongMm] : [line[last], directions[last], alongMm - lengthMm];
      return frame([end[0] + onward[0] * over, end[1] + onward[1] * over], onward);
    }
    const f = (alongMm - starts[low]) / (starts[high] - starts[low]);
    const [p, q] = [line[low], line[high]];
    return frame(
      [p[0] + f * (q[0] - p[0]), p[1] + f * (q[1] - p[1])],
      unit([a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1])]),
    );
  };
  const frame = (pointMm: Vec2, onward: Vec2): TrackFrame => ({
    pointMm,
    onward,
    outward: [-side * onward[1], side * onward[0]],
  });

  const nearestFoot = ([x, y]: Vec2): number => {
    let best = 0;
    let least = Number.POSITIVE_INFINITY;
    for (let i = 1; i <= last; i++) {
      const [a, b] = [line[i - 1], line[i]];
      const [ux, uy] = [b[0] - a[0], b[1] - a[1]];
      const t = ((x - a[0]) * ux + (y - a[1]) * uy) / (ux * ux + uy * uy);
      const held = Math.min(i === last ? Number.POSITIVE_INFINITY : 1, Math.max(i === 1 ? -Infinity : 0, t));
      const away = Math.hypot(x - a[0] - ux * held, y - a[1] - uy * held);
      if (away < least) {
        least = away;
        best = starts[i - 1] + held * (starts[i] - starts[i - 1]);
      }
    }
    return best;
  };

  return {
    lengthMm,
    at,
    place: (point) => {
      const ahead = (s: number): number => {
        const { pointMm, onward } = at(s);
        return (point[0] - pointMm[0]) * onward[0] + (point[1] - pointMm[1]) * onward[1];
      };
      const foot = nearestFoot(point);
      let reach = 0.25;
      while (reach < 64 && !(ahead(foot - reach) >= 0 && ahead(foot + reach) <= 0)) reach *= 2;
      const alongMm = rootBetween(foot - reach, foot + reach, ahead);
      const { pointMm, outward } = at(alongMm);
      return {
        alongMm,
        outMm: (point[0] - pointMm[0]) * outward[0] + (point[1] - pointMm[1]) * outward[1],
      };
    },
    pointOf: ({ alongMm, outMm }) => {
      const { pointMm, outward } = at(alongMm);
      return [pointMm[0] + outMm * outward[0], pointMm[1] + outMm * outward[1]];
    },
    chordEnd: (fromMm, chordMm) => {
      if (chordMm === 0) return fromMm;
      const { pointMm: start } = at(fromMm);
      const [sign, chord] = [Math.sign(chordMm), Math.abs(chordMm)];
      const short = (arc: number): number => {
        const { pointMm } = at(fromMm + sign * arc);
        return chord - Math.hypot(pointMm[0] - start[0], pointMm[1] - start[1]);
      };
      return fromMm + sign * rootBetween(chord * (1 - 1e-9), 2 * chord, short);
    },
  };
}
