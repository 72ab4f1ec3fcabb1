import { type ArchFrame, archFrame, pointInScan } from '../../src/core/arch/ArchFrame.ts';
import { type Jaw, positionOf, type Tooth } from '../../src/core/base/tooth.ts';
import type { Vec2, Vec3 } from '../../src/core/base/Vec3.ts';
import type { MarkSite, PlacedMark } from '../../src/core/marks/Mark.ts';
import type { MeasureInput } from '../../src/core/measure/ArchMeasures.ts';

/** A plane curve by any parameter; front up (+y), symmetric about x = 0 unless said. */
export type PlaneCurve = (t: number) => Vec2;

export const circleCurve =
  (radiusMm: number): PlaneCurve =>
  (t) => [radiusMm * Math.sin(t), radiusMm * Math.cos(t)];
export const ellipseCurve =
  (halfWidthMm: number, depthMm: number): PlaneCurve =>
  (t) => [halfWidthMm * Math.sin(t), depthMm * Math.cos(t)];
/** Parabola of the given depth over the given width, straight on along the tangent further back. */
export const parabolaCurve =
  (widthMm: number, depthMm: number): PlaneCurve =>
  (t) => [t * 30, depthMm - depthMm * ((2 * t * 30) / widthMm) ** 2];
export const catenaryCurve =
  (a: number, depthMm: number): PlaneCurve =>
  (t) => [a * Math.asinh((t * 60) / a), depthMm + a - Math.hypot(a, t * 60)];
export const betaCurve =
  (depthMm: number, widthMm: number): PlaneCurve =>
  (t) => [
    widthMm * (Math.sin((t + Math.PI / 2) / 2) ** 2 - 0.5),
    3.0314 * depthMm * (Math.cos(t) / 2) ** 1.6,
  ];
/** Ax⁶ + Bx² hanging from its apex. */
export const sixthPowerCurve =
  (a: number, b: number, depthMm: number): PlaneCurve =>
  (t) => [t * 30, depthMm - a * (t * 30) ** 6 - b * (t * 30) ** 2];

/** Arc length table of a curve between t = −limit and limit, 0 at t = 0 (positive toward +x). */
function byArcLength(curve: PlaneCurve, limit: number, samples = 40_000) {
  const step = (2 * limit) / samples;
  const points = Array.from({ length: samples + 1 }, (_, i) => curve(-limit + i * step));
  const lengths = new Float64Array(samples + 1);
  for (let i = 1; i <= samples; i++)
    lengths[i] =
      lengths[i - 1] + Math.hypot(points[i][0] - points[i - 1][0], points[i][1] - points[i - 1][1]);
  const zero = lengths[samples / 2];
  const at = (s: number): Vec2 => {
    let low = 0;
    let high = samples;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (lengths[middle] <= s + zero) low = middle;
      else high = middle;
    }
    const f = (s + zero - lengths[low]) / (lengths[high] - lengths[low]);
    return [
      points[low][0] + f * (points[high][0] - points[low][0]),
      points[low][1] + f * (points[high][1] - points[low][1]),
    ];
  };
  return { at, from: -zero, to: lengths[samples] - zero };
}

/** A tooth of a made arch: width along the arch, room it is given on the line, and how it stands off. */
export interface MadeTooth {
  readonly position: number;
  readonly side: 'right' | 'left';
  readonly widthMm: number;
  readonly slotMm: number; // arc length it is given; less than its width when crowded, more when spaced
  readonly outwardMm: number;
  readonly turnRad: number;
}

export interface MarkArchTruth {
  readonly lineLengthMm: number; // right to left first molar mesial, along the curve
  readonly widthsMm: ReadonlyMap<Tooth, number>;
}

export interface MarkArch {
  readonly input: MeasureInput;
  readonly truth: MarkArchTruth;
}

export const UPRIGHT: ArchFrame = archFrame([0, 0, 0], [0, 0, 1], [0, 1, 0]);
/** An awkward pose: nothing along an axis, origin far off. */
export const TILTED: ArchFrame = archFrame([120, -45, 300], [0.3, -0.8, 0.52], [0.6, 0.5, 0.4]);

const HANDBOOK = {
  upper: [8.5, 6.5, 7.5, 7, 7, 10, 9],
  lower: [5, 5.5, 7, 7, 7, 11, 10.5],
} as const;

const handbookWidth = (jaw: Jaw, position: number): number => HANDBOOK[jaw][position - 1];

export const toothOf = (jaw: Jaw, side: 'right' | 'left', position: number): Tooth =>
  (jaw === 'upper' ? (side === 'right' ? 10 : 20) : side === 'right' ? 40 : 30) + position;

/** Aligned teeth to the given position, each in a slot as wide as itself. */
export function alignedTeeth(jaw: Jaw, last = 7): readonly MadeTooth[] {
  return (['right', 'left'] as const).flatMap((side) =>
    Array.from({ length: last }, (_, i) => ({
      position: i + 1,
      side,
      widthMm: handbookWidth(jaw, i + 1),
      slotMm: handbookWidth(jaw, i + 1),
      outwardMm: 0,
      turnRad: 0,
    })),
  );
}

/**
 * Marks of teeth set along a curve from its front outward. A tooth stands with its contact points at the two
 * ends of its slot when slot and width agree (to the difference between arc and chord); else centred on the
 * slot, as wide as it is, moved outward and turned. The patient's right is +x in a lower arch, −x in an upper.
 */
export function markArch(options: {
  readonly jaw: Jaw;
  readonly curve: PlaneCurve;
  readonly limit: number;
  readonly teeth: readonly MadeTooth[];
  readonly frame?: ArchFrame;
  readonly markSdMm?: number;
  readonly heightMm?: (point: Vec2) => number;
}): MarkArch {
  const { jaw, teeth, frame = UPRIGHT, heightMm = () => 0 } = options;
  const line = byArcLength(options.curve, options.limit);
  const marks: PlacedMark[] = [];
  const widthsMm = new Map<Tooth, number>();
  const molarMesial = { right: 0, left: 0 };
  for (const side of ['right', 'left'] as const) {
    const sign = (side === 'right') === (jaw === 'lower') ? 1 : -1;
    let s = 0;
    const own = teeth.filter((t) => t.side === side).sort((a, b) => a.position - b.position);
    for (const made of own) {
      const tooth = toothOf(jaw, side, made.position);
      if (made.position === 6) molarMesial[side] = sign * s;
      const [start, end] = [line.at(sign * s), line.at(sign * (s + made.slotMm))];
      const exact = made.slotMm === made.widthMm && made.outwardMm === 0 && made.turnRad === 0;
      let mesial = start;
      let distal = end;
      if (!exact) {
        const chord = Math.hypot(end[0] - start[0], end[1] - start[1]);
        const [ux, uy] = [(end[0] - start[0]) / chord, (end[1] - start[1]) / chord];
        const [nx, ny] = [-sign * uy, sign * ux];
        const centre = [
          (start[0] + end[0]) / 2 + nx * made.outwardMm,
          (start[1] + end[1]) / 2 + ny * made.outwardMm,
        ];
        const [c, sn] = [Math.cos(made.turnRad), Math.sin(made.turnRad)];
        const half = [((c * ux - sn * uy) * made.widthMm) / 2, ((sn * ux + c * uy) * made.widthMm) / 2];
        mesial = [centre[0] - half[0], centre[1] - half[1]];
        distal = [centre[0] + half[0], centre[1] + half[1]];
      }
      const place = (site: MarkSite, point: Vec2): void => {
        const pointMm: Vec3 = pointInScan(frame, [point[0], point[1], heightMm(point)]);
        marks.push({ tooth, site, pointMm, state: 'confirmed', confidence: null });
      };
      place('mesial', mesial);
      place('distal', distal);
      widthsMm.set(tooth, Math.hypot(distal[0] - mesial[0], distal[1] - mesial[1]));
      s += made.slotMm;
    }
  }
  return {
    input: {
      jaw,
      frame,
      marks,
      missing: [],
      enteredWidths: [],
      form: 'spline',
      markSdMm: options.markSdMm ?? 0.1,
      medianEdgeMm: 0.15,
    },
    truth: { lineLengthMm: Math.abs(molarMesial.left - molarMesial.right), widthsMm },
  };
}

/** Deterministic generator (mulberry32) with a normal draw beside it. */
export function seeded(seed: number) {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  return { uniform, normal };
}

/** Radius of a proximal surface seen from above; two such must pass each other where teeth overlap. mm */
const PROXIMAL_RADIUS_MM = 2.2;

/**
 * Front teeth crowded by `shortMm` in all, as crowns that cannot share room do it: where two overlap along the
 * arch they stand off each other sideways far enough for their rounded sides to pass. `alternating` sets them
 * in and out by turns, `blocked` pushes single incisors out of an otherwise even row. Everything is slightly
 * uneven besides.
 */
export function crowdedTeeth(
  jaw: Jaw,
  shortMm: number,
  seed: number,
  kind: 'alternating' | 'blocked' = 'alternating',
): readonly MadeTooth[] {
  const random = seeded(seed);
  const row = alignedTeeth(jaw)
    .map((t) => ({ ...t, place: t.side === 'right' ? -t.position : t.position }))
    .sort((a, b) => a.place - b.place);
  const out = row.map(() => 0.1 * random.normal());
  const overlap = row.map(() => 0); // between tooth i and i + 1
  const front = row.flatMap((t, i) => (t.position <= 3 ? [i] : []));
  const jump = (o: number): number => {
    const free = 2 * PROXIMAL_RADIUS_MM;
    return Math.sqrt(free ** 2 - (free - Math.min(o, free)) ** 2);
  };
  if (kind === 'alternating') {
    const shares = front.slice(0, -1).map(() => 0.3 + random.uniform());
    const sum = shares.reduce((a, b) => a + b, 0);
    shares.forEach((share, k) => {
      overlap[front[k]] = (shortMm * share) / sum;
    });
    const first = random.uniform() < 0.5 ? 1 : -1;
    front.forEach((i, k) => {
      const canine = row[i].position === 3;
      const size = (jump(overlap[i - 1]) + jump(overlap[i])) / 4;
      out[i] += (k % 2 === 0 ? first : -first) * size * (canine ? 0.6 : 1);
    });
  } else {
    const incisors = front.filter((i) => row[i].position <= 2);
    const count = shortMm > 4 ? 2 : 1;
    const from = Math.floor(random.uniform() * (incisors.length - count));
    for (let k = 0; k < count; k++) {
      const i = incisors[from + 2 * k] ?? incisors[incisors.length - 1];
      const each = shortMm / count / 2;
      overlap[i - 1] += each;
      overlap[i] += each;
      out[i] += (random.uniform() < 0.6 ? -1 : 1) * Math.min(4, jump(each));
    }
  }
  return row.map((t, i) => ({
    position: t.position,
    side: t.side,
    widthMm: t.widthMm,
    slotMm: t.widthMm - (overlap[i] + (overlap[i - 1] ?? 0)) / 2,
    outwardMm: out[i],
    turnRad: (t.position <= 3 && shortMm > 0 ? 0.12 : 0.04) * random.normal(),
  }));
}

export const isFront = (tooth: Tooth): boolean => positionOf(tooth) <= 3;
