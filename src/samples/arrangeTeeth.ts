import {
  archOrder,
  type Contact,
  contactsOf,
  isRight,
  type Jaw,
  permanentOf,
  positionOf,
  type Tooth,
} from '../core/base/tooth.ts';
import type { FullRecipe } from './ArchRecipe.ts';
import { type ArchCurve, makeArchCurve } from './archCurve.ts';
import { Crown } from './Crown.ts';
import { crownKind } from './crownForms.ts';
import { type WallPoints, wallPoints } from './crownGap.ts';
import { unbuildable } from './fullRecipe.ts';
import type { PlacedCrown } from './PlacedCrown.ts';
import {
  fallingRoot,
  LENGTH_TOLERANCE_MM,
  type Leave,
  Packer,
  type Seat,
  standOutside,
} from './packTeeth.ts';
import { makeRandom } from './random.ts';
import { type CrownSize, drawSizes, PEG } from './toothSizes.ts';

/** The teeth set along the line, in order of growing s, and the lengths they were set by. */
export interface Arrangement {
  readonly curve: ArchCurve;
  readonly teeth: readonly PlacedCrown[]; // in order of growing s
  readonly lineLengthMm: number; // arc length of the curve between the first molars' mesial ends
  readonly requiredMm: number; // widths of the teeth present between the first molars
  readonly restMm: number; // by how much the packed teeth miss the end of the line; 0 but for the solver's tolerance
  readonly outsideMm: number; // how far outside the line aligned contacts stand, making up chord against arc
  readonly seats: readonly Seat[]; // of the teeth, in the same order
  readonly gaps: readonly number[]; // left free before each tooth, mm along the line
  readonly placesMm: readonly number[]; // of those gaps, what is kept for missing teeth
  readonly strength: number; // with which the front teeth leave the line
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

/** The size a tooth of the recipe has, from the one drawn for it. */
function grownSize(recipe: FullRecipe, tooth: Tooth, drawn: CrownSize): CrownSize {
  const widthMm = drawn.widthMm * recipe.widthFactor;
  if (!recipe.pegs.includes(tooth)) return { ...drawn, widthMm };
  return {
    widthMm: widthMm * PEG.width,
    depthMm: drawn.depthMm * PEG.depth,
    heightMm: drawn.heightMm * PEG.height,
  };
}

/** Widths of the permanent teeth that have yet to come in the places of primary ones; mm. */
export function successorWidths(
  recipe: FullRecipe,
): readonly { readonly tooth: Tooth; readonly widthMm: number }[] {
  const teeth = recipe.primary.map(permanentOf);
  return [...drawSizes(recipe.jaw, recipe.seed, teeth)].map(([tooth, { widthMm }]) => ({
    tooth,
    widthMm: widthMm * recipe.widthFactor,
  }));
}

/** Teeth of the recipe in order of growing s (the arch frame's x grows to the right in a lower, left in an upper arch). */
function teethAlong(recipe: FullRecipe): readonly Tooth[] {
  const gone = new Set([...recipe.missing.map((m) => m.tooth), ...recipe.unerupted]);
  const order = archOrder(recipe.jaw)
    .filter((t) => positionOf(t) <= 7 && !gone.has(t))
    .map((t) => recipe.primary.find((kept) => permanentOf(kept) === t) ?? t);
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
        throw unbuildable(
          'gaps',
          `there is no such contact; got ${gap.teeth.join(' and ')}, need two neighbours that are present`,
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
    if (!contact)
      throw unbuildable(
        'missing',
        `the place of a missing tooth has no ends; got ${tooth}, need neighbours on both sides`,
      );
    put(contact, sizes.get(tooth)!.widthMm);
  }
  return gaps;
}

/**
 * Sets the teeth of a recipe along its line. The line's length between the first molars is chosen first:
 * widths − crowding + gaps, exactly. Teeth are then packed against each other, crown surface on crown
 * surface; the strength with which the front teeth leave the line is solved so that they just fit.
 *
 * Refuses:  'request-invalid' where the crowding cannot be taken up by displacements of 3.6 mm and turns of 25°.
 */
export function arrangeTeeth(recipe: FullRecipe): Arrangement {
  const { jaw, seed } = recipe;
  const teeth = teethAlong(recipe);
  const all = archOrder(jaw).filter((t) => positionOf(t) <= 7);
  const sizes = new Map(
    [...drawSizes(jaw, seed, [...all, ...recipe.primary])].map(([t, s]) => [t, grownSize(recipe, t, s)]),
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
  const drawnMm = random.between(0.5, 1.6);
  const speeMm = recipe.speeMm ?? drawnMm;

  const seats = teeth.map((tooth): Seat => {
    const p = positionOf(tooth) - 1;
    const size = sizes.get(tooth)!;
    const { form, reference } = crownKind(jaw, tooth, recipe.pegs.includes(tooth));
    const crown = new Crown(form, reference, size);
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
      leave: leaves.get(permanentOf(tooth))!,
      extraTurnRad: (recipe.rotationsDeg[tooth] ?? 0) * RAD,
      extraBuccalMm: recipe.displacementsMm[tooth] ?? 0,
      heightMm: tipMm - (size.heightMm - contactMm) * Math.cos(inclinationRad),
      inclinationRad,
      angulationRad: 0,
    };
  });

  const wanted = wantedGaps(recipe, teeth, sizes);
  const places = wantedGaps({ ...recipe, gaps: [], spacingMm: 0 }, teeth, sizes);
  const gapAfter = (i: number, gaps: Map<string, number>): number =>
    i === 0 ? 0 : (gaps.get(String(contactsOf([teeth[i - 1], teeth[i]])[0])) ?? 0);
  const gaps = teeth.map((_, i) => gapAfter(i, wanted));
  const inLine = (i: number) => i > 0 && (between(teeth[i]) || between(teeth[i - 1]));
  const gapSum = gaps.reduce((s, g, i) => s + (inLine(i) ? g : 0), 0);
  const lineLengthMm = requiredMm - recipe.crowdingMm + gapSum;

  // 1. how far outside the line aligned teeth stand so that arcs and widths add up alike
  const outsideMm = standOutside(curve, seats, requiredMm);
  // 2. how strongly the front leaves the line
  const packer = new Packer(curve, seats, gaps);
  const excess = (strength: number) =>
    packer.pack(lineLengthMm, strength, outsideMm).endMm - lineLengthMm / 2;
  const strength = fallingRoot(excess, 0, 4.5, LENGTH_TOLERANCE_MM);
  if (strength === null)
    throw unbuildable(
      'crowdingMm',
      `crowding does not fit; got ${recipe.crowdingMm} mm, need ${excess(4.5).toFixed(2)} mm less at the most displacement`,
    );
  // 3. turned teeth may need less room than their widths: the rest stays open beside them
  const spare = -excess(strength);
  let left = gaps;
  let packed = packer.pack(lineLengthMm, strength, outsideMm);
  if (spare > 2 * LENGTH_TOLERANCE_MM) {
    const moved = new Set(
      [...Object.keys(recipe.rotationsDeg), ...Object.keys(recipe.displacementsMm)].map(Number),
    );
    const open = teeth.map((t, i) => inLine(i) && (moved.has(t) || moved.has(teeth[i - 1])));
    const some = open.some(Boolean) ? open : teeth.map((_, i) => inLine(i));
    const count = some.filter(Boolean).length;
    left = gaps.map((g, i) => g + (some[i] ? spare / count : 0));
    packed = new Packer(curve, seats, left).pack(lineLengthMm, strength, outsideMm);
  }
  const restMm = packed.endMm - lineLengthMm / 2;
  return {
    curve,
    teeth: packed.placed,
    lineLengthMm,
    requiredMm,
    restMm,
    outsideMm,
    seats,
    gaps: left,
    placesMm: teeth.map((_, i) => gapAfter(i, places)),
    strength,
  };
}
