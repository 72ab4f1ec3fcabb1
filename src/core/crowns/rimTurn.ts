import type { Vec2 } from '../base/Vec3.ts';

/** How far something is turned, and how well that is known. */
export interface KnownTurn {
  readonly turnRad: number; // counter-clockwise seen from above
  readonly sdRad: number;
}

const RIM_MM = 4; // below the crown's top
const INNER_MM = 1.2; // round the middle, where the fissures are
const SECTORS = 36;
const OUTLINE_WAYS = 12;
/**
 * SD of a direction is this over the height of its wave; from 34 premolars of generated arches and 12 real ones. Real
 * upper premolars: within 7° by the second wave; real lower ones: within 12° by the first.
 */
const TWO_CUSPS_MM = 0.08;
const ONE_CUSP_MM = 0.12;
const LEAST_MM = 0.01;

/**
 * How far a premolar is turned, from the height of its rim all round: high at the buccal and the lingual cusp and low at
 * the two marginal ridges between, a wave of two periods; where the lingual cusp is small, as in lower premolars, a wave
 * of one period with the buccal cusp at its crest as well. An outline as round as a premolar's says next to nothing.
 *
 * Shape:    points — 3 per point, arch frame, of one crown; buccal — unit, across the row; lingualIsSmall — as in lower
 *           premolars: only then does the first wave point at the buccal cusp.
 * Units:    mm, radians; turn from −π/2 to π/2 without the first wave, else from −π to π.
 * Accuracy: tests/core/marks/turnedPremolars.test.ts.
 * Source:   our definition; the rim's form is standard tooth anatomy.
 */
export function rimTurn(points: Float32Array, buccal: Vec2, lingualIsSmall: boolean): KnownTurn {
  const rim = rimHeights(points);
  const fromBuccal = Math.atan2(buccal[1], buccal[0]);
  const one = wave(rim, 1);
  const two = wave(rim, 2);
  const twoSd = TWO_CUSPS_MM / Math.max(LEAST_MM, two.heightMm);
  if (!lingualIsSmall) return { turnRad: wrapped(two.atRad - fromBuccal, Math.PI), sdRad: twoSd };
  const oneSd = ONE_CUSP_MM / Math.max(LEAST_MM, one.heightMm);
  const first = wrapped(one.atRad - fromBuccal, 2 * Math.PI);
  // the second wave has a crest at either cusp: that one counts which lies nearer the first wave's
  const second = first + wrapped(two.atRad - one.atRad, Math.PI);
  const share = oneSd ** 2 / (oneSd ** 2 + twoSd ** 2);
  const turnRad = wrapped(first + share * (second - first), 2 * Math.PI);
  // two waves that point apart are trusted less
  const apart = share * (1 - share) * (second - first) ** 2;
  return { turnRad, sdRad: Math.sqrt(share * twoSd ** 2 + apart) };
}

const wrapped = (angle: number, period: number): number => angle - period * Math.round(angle / period);

/** Highest point of each sector round the middle of the outline, below the top of the crown; mm, never above 0. */
function rimHeights(points: Float32Array): readonly number[] {
  let top = -Infinity;
  for (let i = 2; i < points.length; i += 3) top = Math.max(top, points[i]);
  const upper: number[] = [];
  for (let i = 0; i < points.length; i += 3) if (points[i + 2] > top - RIM_MM) upper.push(i);
  const [x, y] = outlineMiddle(points, upper);
  const rim = new Array<number>(SECTORS).fill(-RIM_MM);
  for (const i of upper) {
    const [dx, dy] = [points[i] - x, points[i + 1] - y];
    if (Math.hypot(dx, dy) < INNER_MM) continue;
    const sector = Math.floor((Math.atan2(dy, dx) / (2 * Math.PI) + 0.5) * SECTORS) % SECTORS;
    rim[sector] = Math.max(rim[sector], points[i + 2] - top);
  }
  return rim;
}

/** Middle of the outline: of what the points reach in every direction. */
function outlineMiddle(points: Float32Array, of: readonly number[]): Vec2 {
  let [x, y] = [0, 0];
  for (let k = 0; k < OUTLINE_WAYS; k++) {
    const [c, s] = [Math.cos((k * Math.PI) / OUTLINE_WAYS), Math.sin((k * Math.PI) / OUTLINE_WAYS)];
    let [low, high] = [Infinity, -Infinity];
    for (const i of of) {
      const reach = points[i] * c + points[i + 1] * s;
      low = Math.min(low, reach);
      high = Math.max(high, reach);
    }
    x += ((low + high) / OUTLINE_WAYS) * c;
    y += ((low + high) / OUTLINE_WAYS) * s;
  }
  return [x, y];
}

/** The wave of so many periods in the rim: its height, mm, and the angle of a crest. */
function wave(rim: readonly number[], periods: number): { heightMm: number; atRad: number } {
  let [re, im] = [0, 0];
  rim.forEach((heightMm, k) => {
    const angle = (2 * Math.PI * (k + 0.5)) / SECTORS - Math.PI;
    re += heightMm * Math.cos(periods * angle);
    im += heightMm * Math.sin(periods * angle);
  });
  return { heightMm: (2 * Math.hypot(re, im)) / SECTORS, atRad: Math.atan2(im, re) / periods };
}
