import { archOrder, isRight, type Jaw, positionOf, type Tooth } from '../../src/core/base/tooth.ts';
import type { Vec2 } from '../../src/core/base/Vec3.ts';
import { type ArchTrack, archTrack } from '../../src/core/reduction/motion/archTrack.ts';
import type { StandingTooth } from '../../src/core/reduction/motion/StandingTooth.ts';

/** A tooth standing between two contact points, nothing cut. */
export const standing = (
  tooth: Tooth,
  right: Vec2,
  left: Vec2,
  change: Partial<StandingTooth> = {},
): StandingTooth => ({
  tooth,
  pose: {
    centreMm: [(right[0] + left[0]) / 2, (right[1] + left[1]) / 2],
    directionRad: Math.atan2(left[1] - right[1], left[0] - right[0]),
    heightMm: 0,
  },
  widthMm: Math.hypot(left[0] - right[0], left[1] - right[1]),
  cutRightMm: 0,
  cutLeftMm: 0,
  pointsHeightMm: [0, 0],
  topMm: null,
  ...change,
});

/** The line of a lower arch from the patient's right (+x) to the left: a parabola, `flat` a straight line. */
export function trackOf(kind: 'flat' | 'parabola' = 'parabola', halfMm = 24, depthMm = 24): ArchTrack {
  const points = Array.from({ length: 161 }, (_, i): Vec2 => {
    const x = halfMm * (1 - i / 80);
    return [x, kind === 'flat' ? 0 : depthMm * (1 - (x / halfMm) ** 2)];
  });
  return archTrack(points);
}

const WIDTH_MM: Readonly<Record<number, number>> = { 1: 5, 2: 5.5, 3: 7, 4: 7, 5: 7, 6: 11 };

/** Teeth of a lower jaw, right first molar to left, set contact to contact on a line from its middle outward. */
export function rowOn(track: ArchTrack, jaw: Jaw = 'lower'): readonly StandingTooth[] {
  const order = archOrder(jaw).filter((tooth) => positionOf(tooth) <= 6);
  const teeth: StandingTooth[] = [];
  for (const right of [true, false]) {
    let at = track.lengthMm / 2;
    const side = order.filter((tooth) => isRight(tooth) === right);
    for (const tooth of right ? side.reverse() : side) {
      const end = track.chordEnd(at, (right ? -1 : 1) * WIDTH_MM[positionOf(tooth)]);
      const [from, to] = right ? [end, at] : [at, end];
      teeth.push(standing(tooth, track.at(from).pointMm, track.at(to).pointMm));
      at = end;
    }
  }
  return teeth.sort((a, b) => order.indexOf(a.tooth) - order.indexOf(b.tooth));
}
