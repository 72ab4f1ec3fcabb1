import { positionOf, type Tooth } from '../base/tooth.ts';
import { add, distance, type Vec3 } from '../base/Vec3.ts';
import type { MovementReference } from '../visits/FollowUp.ts';
import { motionOfPoints, movedBy, type PointPair, type RigidMotion } from './RigidMotion.ts';

/** How one crown went from the earlier scan to the later. */
export interface CrownMotion {
  readonly tooth: Tooth;
  readonly centreMm: Vec3; // earlier scan
  readonly motion: RigidMotion;
}

/** What movements are told against, as a motion of the earlier scan onto the later. */
export interface StillMotion {
  readonly motion: RigidMotion;
  readonly reference: MovementReference;
}

const ARM_MM = 4; // half a crown: a turn of it moves the crown's surface by so much
const LOOSE_MM = 1;
const TIGHT_MM = 0.1;
const ROUNDS = 12;
const STILL_MM = 0.06; // a crown farther off has moved

/** Back teeth have large roots and are moved least; common practice, no source. */
const holdOf = (tooth: Tooth): number => {
  const position = positionOf(tooth);
  if (position === 6 || position === 7) return 1;
  return position === 4 || position === 5 ? 0.6 : 0.3;
};

/** Seven places of a crown, before and after. */
function armsOf({ centreMm, motion }: CrownMotion): readonly PointPair[] {
  const arms: Vec3[] = [[0, 0, 0]];
  for (let k = 0; k < 3; k++) {
    const arm = [0, 0, 0];
    arm[k] = ARM_MM;
    arms.push([arm[0], arm[1], arm[2]], [-arm[0], -arm[1], -arm[2]]);
  }
  return arms.map((arm) => {
    const fromMm = add(centreMm, arm);
    return { fromMm, toMm: movedBy(motion, fromMm), weight: 1 };
  });
}

const offBy = (arms: readonly PointPair[], motion: RigidMotion): number =>
  Math.sqrt(
    arms.reduce((s, { fromMm, toMm }) => s + distance(movedBy(motion, fromMm), toMm) ** 2, 0) / arms.length,
  );

const say = (offMm: number, scaleMm: number): number => {
  const t = offMm / scaleMm;
  return t >= 1 ? 0 : (1 - t * t) ** 2;
};

/**
 * The teeth that moved least against each other, back teeth before front teeth, and the motion they agree on: every
 * two back teeth are tried as the start, and the one most teeth agree with is kept.
 *
 * Units:    mm.
 * Accuracy: finds the four molars that stood still, RMS 0.02 mm — tests/core/compare/registration.test.ts.
 * Source:   our definition, DEVELOPERS.md#later-scan.
 */
export function stillTeeth(crowns: readonly CrownMotion[]): StillMotion {
  const pieces = crowns.map((crown) => ({
    tooth: crown.tooth,
    arms: armsOf(crown),
    hold: holdOf(crown.tooth),
  }));
  const back = pieces.filter(({ hold }) => hold > 0.5);
  const starters = back.length >= 2 ? back : pieces;
  let best: RigidMotion | null = null;
  let bestScore = -1;
  for (let i = 0; i < starters.length; i++)
    for (let j = i + 1; j < starters.length; j++) {
      let motion = motionOfPoints([...starters[i].arms, ...starters[j].arms]);
      for (let round = 0; round < ROUNDS; round++) {
        const scaleMm = LOOSE_MM * (TIGHT_MM / LOOSE_MM) ** (round / (ROUNDS - 1));
        const pairs = pieces.flatMap(({ arms, hold }) => {
          const weight = hold * say(offBy(arms, motion), scaleMm);
          return weight > 0 ? arms.map((arm) => ({ ...arm, weight })) : [];
        });
        if (pairs.length === 0) break;
        motion = motionOfPoints(pairs);
      }
      const score = pieces.reduce((s, { arms, hold }) => s + hold * say(offBy(arms, motion), TIGHT_MM), 0);
      if (score > bestScore) [best, bestScore] = [motion, score];
    }
  const motion = best ?? crowns[0].motion;
  const still = pieces.filter(({ arms }) => offBy(arms, motion) < STILL_MM);
  const squares = still.reduce((s, { arms }) => s + offBy(arms, motion) ** 2, 0);
  return {
    motion,
    reference: {
      kind: 'teeth',
      teeth: still.map(({ tooth }) => tooth),
      rmsMm: Math.sqrt(squares / Math.max(1, still.length)),
    },
  };
}
