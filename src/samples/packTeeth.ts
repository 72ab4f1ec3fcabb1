import { positionOf, type Tooth } from '../core/base/tooth.ts';
import type { Vec2 } from '../core/base/Vec3.ts';
import type { ArchCurve } from './archCurve.ts';
import type { Crown } from './Crown.ts';
import { crownGap, type WallPoints } from './crownGap.ts';
import { PlacedCrown } from './PlacedCrown.ts';

const RAD = Math.PI / 180;
const MOST_ROTATION_DEG = 25;
const MOST_DISPLACEMENT_MM = 3.6;

/** Packed ends are met within this. */
export const LENGTH_TOLERANCE_MM = 2e-4;

/** How one tooth leaves its place when crowded: at strength 1. */
export interface Leave {
  readonly buccalMm: number;
  readonly turnDeg: number;
}

/** A tooth ready to be set: its crown, and how it stands apart from its place along the line. */
export interface Seat {
  readonly tooth: Tooth;
  readonly crown: Crown;
  readonly widthMm: number;
  readonly sign: 1 | -1; // side of the arch in x
  readonly walls: Readonly<Record<1 | -1, WallPoints>>; // mesial 1, distal −1
  readonly leave: Leave;
  readonly extraTurnRad: number;
  readonly extraBuccalMm: number;
  readonly heightMm: number; // z of the contact middle
  readonly inclinationRad: number;
  readonly angulationRad: number;
}

/** One packing: every tooth set against the one before it, from the first molar on the low-s side to the other. */
export class Packer {
  readonly curve: ArchCurve;
  readonly seats: readonly Seat[];
  readonly gaps: readonly number[]; // before each seat (index 0 unused)

  constructor(curve: ArchCurve, seats: readonly Seat[], gaps: readonly number[]) {
    this.curve = curve;
    this.seats = seats;
    this.gaps = gaps;
  }

  /** Sets a tooth with its slot's middle at arc length s. */
  place(seat: Seat, s: number, strength: number, outsideMm: number): PlacedCrown {
    const a = this.curve.point(s - seat.widthMm / 2);
    const b = this.curve.point(s + seat.widthMm / 2);
    const chord = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const along: Vec2 = [(b[0] - a[0]) / chord, (b[1] - a[1]) / chord];
    const out: Vec2 = [-along[1], along[0]];
    const limit = (x: number, most: number) => Math.min(Math.max(x, -most), most);
    const move = outsideMm + limit(strength * seat.leave.buccalMm, MOST_DISPLACEMENT_MM) + seat.extraBuccalMm;
    // mesial end toward buccal is a positive turn about z where mesial is growing s, else negative
    const turn = limit(strength * seat.leave.turnDeg, MOST_ROTATION_DEG) * RAD + seat.extraTurnRad;
    const alongSign = (seat.sign === 1 ? -1 : 1) as 1 | -1;
    return new PlacedCrown(seat.tooth, seat.crown, {
      middleMm: [(a[0] + b[0]) / 2 + out[0] * move, (a[1] + b[1]) / 2 + out[1] * move, seat.heightMm],
      headingRad: Math.atan2(along[1], along[0]) + turn * alongSign,
      inclinationRad: seat.inclinationRad,
      angulationRad: seat.angulationRad,
      alongSign,
    });
  }

  /** Arc length at which `seat` touches `neighbour`, on the side of growing (+1) or falling (−1) s. */
  touch(
    neighbour: PlacedCrown,
    of: Seat,
    seat: Seat,
    start: number,
    way: 1 | -1,
    strength: number,
    outside: number,
  ): number {
    // the wall facing low s is mesial where the tooth stands on the positive side
    const facingLow = (x: Seat): 1 | -1 => (x.sign === 1 ? 1 : -1);
    const wallOf = of.walls[(way === 1 ? -facingLow(of) : facingLow(of)) as 1 | -1];
    const gapAt = (s: number) => crownGap(neighbour, wallOf, this.place(seat, s, strength, outside));
    let s0 = start;
    let g0 = gapAt(s0);
    let s1 = s0 - way * g0;
    for (let i = 0; i < 12; i++) {
      const g1 = gapAt(s1);
      if (Math.abs(g1) < 2e-5) return s1;
      const slope = (g1 - g0) / (s1 - s0);
      s0 = s1;
      g0 = g1;
      s1 -= g1 / (slope * way > 0.15 ? slope : way);
    }
    return s1;
  }

  /** Slot middles by seat; the first seat on the low side that is a first molar stands with its mesial end at −length/2. */
  pack(
    lengthMm: number,
    strength: number,
    outside: number,
  ): { middles: number[]; endMm: number; placed: PlacedCrown[] } {
    const { seats } = this;
    const low = seats.findIndex((x) => positionOf(x.tooth) === 6);
    const high = seats.length - 1 - [...seats].reverse().findIndex((x) => positionOf(x.tooth) === 6);
    const middles = seats.map(() => Number.NaN);
    const placed: PlacedCrown[] = [];
    const set = (i: number, s: number) => {
      middles[i] = s;
      placed[i] = this.place(seats[i], s, strength, outside);
    };
    set(low, -lengthMm / 2 - seats[low].widthMm / 2);
    const next = (i: number, from: number, way: 1 | -1) => {
      const apart = (seats[i].widthMm + seats[from].widthMm) / 2;
      const s = this.touch(
        placed[from],
        seats[from],
        seats[i],
        middles[from] + way * apart,
        way,
        strength,
        outside,
      );
      set(i, s + way * this.gaps[Math.max(i, from)]);
    };
    for (let i = low + 1; i < seats.length; i++) next(i, i - 1, 1);
    for (let i = low - 1; i >= 0; i--) next(i, i + 1, -1);
    return { middles, endMm: middles[high] - seats[high].widthMm / 2, placed };
  }
}

/**
 * Sets the teeth between two that stand fast, each against the one before it.
 * `openMm`: what is left free before the tooth at the far end beyond its own gap; below 0 where room lacks.
 */
export function packBetween(
  packer: Packer,
  standing: { readonly low: PlacedCrown; readonly high: PlacedCrown; readonly fromMm: number },
  strength: number,
  outsideMm: number,
): { readonly placed: readonly PlacedCrown[]; readonly openMm: number } {
  const { seats, gaps } = packer;
  const first = seats.findIndex((x) => x.tooth === standing.low.tooth);
  const last = seats.findIndex((x) => x.tooth === standing.high.tooth);
  const placed: PlacedCrown[] = [standing.low];
  let endMm = standing.fromMm;
  for (let i = first + 1; i < last; i++) {
    const before = placed[placed.length - 1];
    const guess = endMm + seats[i].widthMm / 2;
    const s = packer.touch(before, seats[i - 1], seats[i], guess, 1, strength, outsideMm) + gaps[i];
    placed.push(packer.place(seats[i], s, strength, outsideMm));
    endMm = s + seats[i].widthMm / 2;
  }
  const end = seats[last - 1];
  const free = crownGap(placed[placed.length - 1], end.walls[end.sign === 1 ? -1 : 1], standing.high);
  return { placed: placed.slice(1), openMm: free - gaps[last] };
}

/** Root of a falling function on [low, high] by the Illinois rule; null when it stays above zero. */
export function fallingRoot(
  f: (x: number) => number,
  low: number,
  high: number,
  tolerance: number,
): number | null {
  let [a, fa, b, fb] = [low, f(low), high, f(high)];
  if (fa <= tolerance) return low;
  if (fb > 0) return null;
  for (let i = 0; i < 30 && b - a > 1e-7; i++) {
    const x = (a * fb - b * fa) / (fb - fa);
    const fx = f(x);
    if (Math.abs(fx) < tolerance) return x;
    if (fx > 0) {
      [a, fa] = [x, fx];
      fb /= 2;
    } else {
      [b, fb] = [x, fx];
      fa /= 2;
    }
  }
  return (a + b) / 2;
}

/** How far outside the line aligned teeth stand so that arcs and widths add up alike; mm. */
export function standOutside(curve: ArchCurve, seats: readonly Seat[], requiredMm: number): number {
  const straight = seats.map((x) => ({ ...x, extraTurnRad: 0, extraBuccalMm: 0 }));
  const closed = new Packer(
    curve,
    straight,
    seats.map(() => 0),
  );
  const excess = (outsideMm: number) => closed.pack(requiredMm, 0, outsideMm).endMm - requiredMm / 2;
  return fallingRoot(excess, 0, 1, LENGTH_TOLERANCE_MM) ?? 0;
}
