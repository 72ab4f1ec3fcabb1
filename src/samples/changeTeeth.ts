import { type Contact, contactsOf, positionOf, siteFacing, type Tooth } from '../core/base/tooth.ts';
import type { Vec3 } from '../core/base/Vec3.ts';
import type { ArchChange } from './ArchChange.ts';
import type { FullRecipe } from './ArchRecipe.ts';
import type { Arrangement } from './arrangeTeeth.ts';
import { type WallPoints, wallPoints } from './crownGap.ts';
import { unbuildable } from './fullRecipe.ts';
import { PlacedCrown } from './PlacedCrown.ts';
import {
  fallingRoot,
  LENGTH_TOLERANCE_MM,
  Packer,
  packBetween,
  type Seat,
  standOutside,
} from './packTeeth.ts';
import { makeRandom } from './random.ts';

const MOST_GONE_MM = 0.8; // from one surface; deeper, the flat wall would reach the crown's body
const RAD = Math.PI / 180;

const sameContact = (a: Contact, b: Contact): boolean => b.includes(a[0]) && b.includes(a[1]);

/** Enamel gone from the mesial and the distal wall of each tooth. Refuses: 'request-invalid' for a cut that cannot be made. */
export function goneByTooth(
  teeth: readonly Tooth[],
  { cuts }: ArchChange,
): ReadonlyMap<Tooth, readonly [mesialMm: number, distalMm: number]> {
  const gone = new Map<Tooth, [number, number]>(teeth.map((tooth) => [tooth, [0, 0]]));
  const contacts = contactsOf(teeth);
  for (const { teeth: pair, goneMm } of cuts) {
    if (!contacts.some((c) => sameContact(c, pair)) || pair.every((t) => positionOf(t) >= 6))
      throw unbuildable(
        'cuts',
        `there is no contact to cut; got ${pair.join(' and ')}, need neighbours that are present, mesial to the first molars' distal walls`,
      );
    pair.forEach((tooth, k) => {
      if (!(goneMm[k] >= 0 && goneMm[k] <= MOST_GONE_MM))
        throw unbuildable(
          'cuts',
          `enamel taken from ${tooth} is out of range; got ${goneMm[k]} mm, need 0 to ${MOST_GONE_MM}`,
        );
      gone.get(tooth)![siteFacing(tooth, pair[1 - k]) === 'mesial' ? 0 : 1] += goneMm[k];
    });
  }
  return gone;
}

/** A crown cut back where it stands. */
function cutStanding(placed: PlacedCrown, goneMm: readonly [number, number]): PlacedCrown {
  if (goneMm[0] === 0 && goneMm[1] === 0) return placed;
  const crown = placed.crown.cutBack(goneMm);
  const { mesialMm: m, distalMm: d } = crown;
  const middle: Vec3 = [(m[0] + d[0]) / 2, (m[1] + d[1]) / 2, (m[2] + d[2]) / 2];
  return new PlacedCrown(placed.tooth, crown, { ...placed.stand, middleMm: placed.toArch(middle) });
}

/**
 * The arch after a change: crowns cut back, the molars where they stood, the teeth between them packed anew
 * on the same line with as much crowding as is left, or with the space left over kept open. Moved teeth also
 * settle a little: they tip and come out of the gum by small random amounts.
 *
 * Refuses:  'request-invalid' where the change cannot be built.
 */
export function changeTeeth(before: Arrangement, recipe: FullRecipe, change: ArchChange): Arrangement {
  const names = before.teeth.map((p) => p.tooth);
  const gone = goneByTooth(names, change);
  const random = makeRandom(change.seed ?? recipe.seed + 1, 'settling');
  const turnsLeft = change.turnsLeft ?? 0;
  const seats = before.seats.map((seat): Seat => {
    const [height, tipOut, tipAlong] = [random.normal(), random.normal(), random.normal()];
    const crown = seat.crown.cutBack(gone.get(seat.tooth)!);
    const deg = (change.settleDeg ?? 1) * RAD;
    return {
      ...seat,
      crown,
      widthMm: crown.mesialMm[0] - crown.distalMm[0],
      walls: { 1: wallPoints(crown, 1), [-1]: wallPoints(crown, -1) } as Record<1 | -1, WallPoints>,
      extraTurnRad: seat.extraTurnRad * turnsLeft,
      extraBuccalMm: seat.extraBuccalMm * turnsLeft,
      heightMm: seat.heightMm + (change.settleMm ?? 0.12) * height,
      inclinationRad: seat.inclinationRad + deg * tipOut,
      angulationRad: seat.angulationRad + deg * tipAlong,
    };
  });

  const molar = (p: { readonly tooth: Tooth }) => positionOf(p.tooth) === 6;
  const low = before.teeth.findIndex(molar);
  const high = names.findIndex((t, i) => i > low && positionOf(t) === 6);
  const standing = before.teeth.map((p) => cutStanding(p, gone.get(p.tooth)!));
  const lowGoneMm = gone.get(names[low])![0];
  const fixed = {
    low: standing[low],
    high: standing[high],
    fromMm: -before.lineLengthMm / 2 - lowGoneMm,
  };
  const between = (x: Seat) => positionOf(x.tooth) <= 5;
  const requiredMm = seats.filter(between).reduce((s, x) => s + x.widthMm, 0);
  // cut walls are flatter and touch otherwise than grown ones: where aligned teeth stand is found anew
  const outsideMm = standOutside(before.curve, seats, requiredMm);
  const pack = (strength: number, gaps: readonly number[]) =>
    packBetween(new Packer(before.curve, seats, gaps), fixed, strength, outsideMm);

  let gaps = before.placesMm;
  const strength = fallingRoot((x) => -pack(x, gaps).openMm, 0, 4.5, LENGTH_TOLERANCE_MM);
  if (strength === null)
    throw unbuildable('cuts', 'the crowding left does not fit; got too little enamel taken, need more');
  const wanted = change.openAt ?? contactsOf(names).filter((c) => c.every((t) => positionOf(t) === 1));
  const open = names.map((t, i) => i > 0 && wanted.some((c) => sameContact(c, [names[i - 1], t])));
  const count = open.filter(Boolean).length;
  const withOpen = (mm: number) => gaps.map((g, i) => g + (open[i] ? mm / count : 0));
  const spareMm = pack(strength, gaps).openMm;
  if (count > 0 && spareMm > LENGTH_TOLERANCE_MM) {
    const left = (mm: number) => pack(strength, withOpen(mm)).openMm;
    gaps = withOpen(fallingRoot(left, 0, 3 * spareMm, LENGTH_TOLERANCE_MM) ?? spareMm);
  }
  const packed = pack(strength, gaps);
  return {
    curve: before.curve,
    teeth: [...standing.slice(0, low + 1), ...packed.placed, ...standing.slice(high)],
    lineLengthMm: before.lineLengthMm + lowGoneMm + gone.get(names[high])![0],
    requiredMm,
    restMm: -packed.openMm,
    outsideMm,
    seats,
    gaps,
    placesMm: before.placesMm,
    strength,
  };
}
