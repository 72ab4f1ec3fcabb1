import {
  archOrder,
  type Contact,
  contactsOf,
  isRight,
  type Jaw,
  positionOf,
  type Tooth,
} from '../core/base/tooth.ts';
import type { Vec2 } from '../core/base/Vec3.ts';
import type { FullRecipe } from './ArchRecipe.ts';
import { type ArchCurve, makeArchCurve } from './archCurve.ts';
import { Crown } from './Crown.ts';
import { crownForm } from './crownForms.ts';
import { crownGap, type WallPoints, wallPoints } from './crownGap.ts';
import { PlacedCrown } from './PlacedCrown.ts';
import { makeRandom } from './random.ts';
import { type CrownSize, drawSizes, REFERENCE } from './toothSizes.ts';

/** The teeth set along the line, in order of growing s, and the lengths they were set by. */
export interface Arrangement {
  readonly curve: ArchCurve;
  readonly teeth: readonly PlacedCrown[]; // in order of growing s
  readonly lineLengthMm: number; // arc length of the curve between the first molars' mesial ends
  readonly requiredMm: number; // widths of the teeth present between the first molars
  readonly restMm: number; // by how much the packed teeth miss the end of the line; 0 but for the solver's tolerance
  readonly outsideMm: number; // how far outside the line aligned contacts stand, making up chord against arc
}

const RAD = Math.PI / 180;

/** Tip leaning toward buccal, positions 1 to 7, degrees; our choice, so that facial surfaces stand as they commonly do. */
const INCLINATION_DEG: Readonly<Record<Jaw, readonly number[]>> = {
  upper: [20, 17, 9, 3, 1, 1, 3],
  lower: [15, 13, 6, -2, -6, -9, -11],
};

/** Tip above (+) the occlusal plane before the curve of Spee, mm; our choice. */
const TIP_MM: Readonly<Record<Jaw, readonly number[]>> = {
  upper: [0, -0.45, 0.35, 0.1, -0.05, 0, 0],
  lower: [0, 0, 0.5, 0.2, 0, 0.1, 0.1],
};

const MOST_ROTATION_DEG = 25;
const MOST_DISPLACEMENT_MM = 3.6;

/** How one tooth leaves its place when crowded: at strength 1. */
interface Leave {
  readonly buccalMm: number;
  readonly turnDeg: number;
}

interface Seat {
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

/**
 * Front teeth leave the line in one of two patterns common in crowding, by the seed: canines to labial with
 * imbricated incisors and laterals a little to lingual, or laterals well to lingual; amounts vary. The teeth
 * leave it to both sides about equally, so that it stays the line of the majority. Ours, no source for the
 * amounts. Not taken: neighbours turned in opposite senses; turned crowns need more room, not less.
 */
function drawLeaves(jaw: Jaw, seed: number, teeth: readonly Tooth[]): ReadonlyMap<Tooth, Leave> {
  const random = makeRandom(seed, `${jaw}-crowding`);
  const leaves = new Map<Tooth, Leave>();
  const lead = random.next() < 0.5 ? 1 : -1;
  const laterals = random.next() < 0.4;
  for (const tooth of [...teeth].sort((a, b) => a - b)) {
    const side = isRight(tooth) ? 1 : -1;
    const r = () => random.between(0.75, 1.25);
    const flip = random.next() < 0.25 ? -1 : 1;
    const canineOut = [
      { buccalMm: 0.36 * lead * side * r(), turnDeg: (-2 + 5 * lead * side) * r() },
      { buccalMm: -0.3 * r(), turnDeg: -4.5 * flip * r() },
      { buccalMm: 0.82 * r(), turnDeg: -3.5 * r() },
      { buccalMm: -0.2 * r(), turnDeg: 2 * flip * r() },
      { buccalMm: -0.12 * r(), turnDeg: 1.5 * flip * r() },
    ];
    const lateralIn = [
      { buccalMm: 0.3 * lead * side * r(), turnDeg: (-3 + 5 * lead * side) * r() },
      { buccalMm: -0.75 * r(), turnDeg: 8 * flip * r() },
      { buccalMm: 0.75 * r(), turnDeg: -4 * r() },
      { buccalMm: -0.15 * r(), turnDeg: 2 * flip * r() },
      { buccalMm: 0.05 * flip * r(), turnDeg: 1.5 * flip * r() },
    ];
    const front = (laterals ? lateralIn : canineOut)[positionOf(tooth) - 1];
    leaves.set(tooth, front ?? { buccalMm: 0, turnDeg: 0 });
  }
  return leaves;
}

/** Teeth of the recipe in order of growing s (the arch frame's x grows to the right in a lower, left in an upper arch). */
function teethAlong(recipe: FullRecipe): readonly Tooth[] {
  const gone = new Set(recipe.missing.map((m) => m.tooth));
  const order = archOrder(recipe.jaw).filter((t) => positionOf(t) <= 7 && !gone.has(t));
  return recipe.jaw === 'upper' ? order : [...order].reverse();
}

const sideSign = (jaw: Jaw, tooth: Tooth): 1 | -1 => ((jaw === 'lower') === isRight(tooth) ? 1 : -1);

/** Free gaps wanted at each contact, mm, keyed by the pair; open spaces of missing teeth included. */
function wantedGaps(
  recipe: FullRecipe,
  teeth: readonly Tooth[],
  sizes: ReadonlyMap<Tooth, CrownSize>,
): Map<string, number> {
  const gaps = new Map<string, number>();
  const contacts = contactsOf(teeth);
  const front = contacts.filter(([a, b]) => positionOf(a) <= 3 && positionOf(b) <= 3);
  const put = (c: Contact, mm: number) => gaps.set(String(c), (gaps.get(String(c)) ?? 0) + mm);
  if (recipe.gaps.length > 0) {
    for (const gap of recipe.gaps) {
      const contact = contacts.find((c) => c.includes(gap.teeth[0]) && c.includes(gap.teeth[1]));
      if (!contact)
        throw new Error(
          `makeArch: no contact between ${gap.teeth.join(' and ')}; need two neighbours that are present.`,
        );
      put(contact, gap.gapMm);
    }
  } else if (recipe.spacingMm > 0) {
    const random = makeRandom(recipe.seed, 'spacing');
    const shares = front.map(() => random.between(0.5, 1.5));
    const sum = shares.reduce((s, x) => s + x, 0);
    front.forEach((c, i) => {
      put(c, (recipe.spacingMm * shares[i]) / sum);
    });
  }
  for (const { tooth, space } of recipe.missing) {
    if (space === 'closed') continue;
    const place = archOrder(recipe.jaw).indexOf(tooth);
    const contact = contacts.find(
      ([a, b]) => archOrder(recipe.jaw).indexOf(a) < place && archOrder(recipe.jaw).indexOf(b) > place,
    );
    if (!contact) throw new Error(`makeArch: missing tooth ${tooth} has no neighbour on both sides.`);
    put(contact, sizes.get(tooth)!.widthMm);
  }
  return gaps;
}

/** One packing: every tooth set against the one before it, from the first molar on the low-s side to the other. */
class Packer {
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
  private touch(
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

/** Root of a falling function on [low, high] by the Illinois rule; null when it stays above zero. */
function fallingRoot(f: (x: number) => number, low: number, high: number, tolerance: number): number | null {
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

const LENGTH_TOLERANCE_MM = 2e-4;

/**
 * Sets the teeth of a recipe along its line. The line's length between the first molars is chosen first:
 * widths − crowding + gaps, exactly. Teeth are then packed against each other, crown surface on crown
 * surface; the strength with which the front teeth leave the line is solved so that they just fit.
 *
 * Throws where the crowding cannot be taken up by displacements of 3.6 mm and turns of 25°.
 */
export function arrangeTeeth(recipe: FullRecipe): Arrangement {
  const { jaw, seed } = recipe;
  const teeth = teethAlong(recipe);
  const all = archOrder(jaw).filter((t) => positionOf(t) <= 7);
  const sizes = new Map(
    [...drawSizes(jaw, seed, all)].map(([t, s]) => [t, { ...s, widthMm: s.widthMm * recipe.widthFactor }]),
  );
  const leaves = drawLeaves(jaw, seed, all);
  const between = (t: Tooth) => positionOf(t) <= 5;
  const sum = (list: readonly Tooth[]) => list.reduce((s, t) => s + sizes.get(t)!.widthMm, 0);
  const requiredMm = sum(teeth.filter(between));
  const fullMm = sum(all.filter(between));

  const random = makeRandom(seed, 'arch');
  // tuned so that widths across and depths fall in the usual ranges; both jaws of a seed share the variation
  const shape = random.between(-1, 1);
  const turnRad = (jaw === 'upper' ? 1.42 : 1.41) + 0.05 * shape;
  const frontMm = (jaw === 'upper' ? 0.325 : 0.34) * fullMm * (1 + 0.03 * random.between(-1, 1));
  const curve = makeArchCurve(turnRad, frontMm);
  const speeMm = random.between(0.5, 1.6);

  const seats = teeth.map((tooth): Seat => {
    const p = positionOf(tooth) - 1;
    const size = sizes.get(tooth)!;
    const crown = new Crown(crownForm(jaw, p + 1), REFERENCE[jaw][p], size);
    const inclinationRad = INCLINATION_DEG[jaw][p] * RAD;
    const dip = [0, -0.02, 0.1, 0.55, 0.9, 1, 0.55][p] * speeMm;
    const tipMm = TIP_MM[jaw][p] + (jaw === 'lower' ? -dip : dip * 0.7);
    const contactMm = (crown.mesialMm[2] + crown.distalMm[2]) / 2;
    return {
      tooth,
      crown,
      widthMm: size.widthMm,
      sign: sideSign(jaw, tooth),
      walls: { 1: wallPoints(crown, 1), [-1]: wallPoints(crown, -1) } as Record<1 | -1, WallPoints>,
      leave: leaves.get(tooth)!,
      extraTurnRad: (recipe.rotationsDeg[tooth] ?? 0) * RAD,
      extraBuccalMm: recipe.displacementsMm[tooth] ?? 0,
      heightMm: tipMm - (size.heightMm - contactMm) * Math.cos(inclinationRad),
      inclinationRad,
      angulationRad: 0,
    };
  });

  const wanted = wantedGaps(recipe, teeth, sizes);
  const gapAfter = (i: number, gaps: Map<string, number>): number =>
    i === 0 ? 0 : (gaps.get(String(contactsOf([teeth[i - 1], teeth[i]])[0])) ?? 0);
  const gaps = teeth.map((_, i) => gapAfter(i, wanted));
  const inLine = (i: number) => i > 0 && (between(teeth[i]) || between(teeth[i - 1]));
  const gapSum = gaps.reduce((s, g, i) => s + (inLine(i) ? g : 0), 0);
  const lineLengthMm = requiredMm - recipe.crowdingMm + gapSum;

  // 1. how far outside the line aligned teeth stand so that arcs and widths add up alike
  const straight = seats.map((x) => ({ ...x, extraTurnRad: 0, extraBuccalMm: 0 }));
  const closed = new Packer(
    curve,
    straight,
    gaps.map(() => 0),
  );
  const outsideMm =
    fallingRoot((o) => closed.pack(requiredMm, 0, o).endMm - requiredMm / 2, 0, 1, LENGTH_TOLERANCE_MM) ?? 0;
  // 2. how strongly the front leaves the line
  const packer = new Packer(curve, seats, gaps);
  const excess = (strength: number) =>
    packer.pack(lineLengthMm, strength, outsideMm).endMm - lineLengthMm / 2;
  const strength = fallingRoot(excess, 0, 4.5, LENGTH_TOLERANCE_MM);
  if (strength === null)
    throw new Error(
      `makeArch: crowding of ${recipe.crowdingMm} mm does not fit; got ${excess(4.5).toFixed(2)} mm too many at the most displacement. Ask for less.`,
    );
  // 3. turned teeth may need less room than their widths: the rest stays open beside them
  const spare = -excess(strength);
  let packed = packer.pack(lineLengthMm, strength, outsideMm);
  if (spare > 2 * LENGTH_TOLERANCE_MM) {
    const moved = new Set(
      [...Object.keys(recipe.rotationsDeg), ...Object.keys(recipe.displacementsMm)].map(Number),
    );
    const open = teeth.map((t, i) => inLine(i) && (moved.has(t) || moved.has(teeth[i - 1])));
    const some = open.some(Boolean) ? open : teeth.map((_, i) => inLine(i));
    const count = some.filter(Boolean).length;
    const wider = gaps.map((g, i) => g + (some[i] ? spare / count : 0));
    packed = new Packer(curve, seats, wider).pack(lineLengthMm, strength, outsideMm);
  }
  const restMm = packed.endMm - lineLengthMm / 2;
  return { curve, teeth: packed.placed, lineLengthMm, requiredMm, restMm, outsideMm };
}
