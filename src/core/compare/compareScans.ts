import { type Contact, contactsOf, type Jaw, positionOf, type Tooth } from '../base/tooth.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import type { ContactChange, FollowUpMeasure, ToothChange } from '../visits/FollowUp.ts';
import { type ArchDeviation, archDeviation } from './archDeviation.ts';
import { archRegistration, teethOnBoth } from './archRegistration.ts';
import { type ComparedScan, comparedScan, type ScanSaid } from './ComparedScan.ts';
import { contactChange, facingSide } from './contactChange.ts';
import { crownMovement } from './crownMovement.ts';
import type { LaidCrown } from './layOver.ts';
import { stillTeeth } from './movementReference.ts';
import { wallChange } from './proximalChange.ts';
import type { RigidMotion } from './RigidMotion.ts';
import { refuseUnlike } from './sameArch.ts';
import { separationOf } from './separationOf.ts';
import { toothRegistration } from './toothRegistration.ts';

export type ComparisonStage =
  | 'earlier-crowns'
  | 'later-crowns'
  | 'arch'
  | 'teeth'
  | 'walls'
  | 'deviation'
  | 'done';

/** How far a comparison has come; `doneRatio` of the whole grows from 0 to 1. */
export interface ComparisonProgress {
  readonly stage: ComparisonStage;
  readonly doneRatio: number;
}

/** Two scans of one arch laid over each other. */
export interface ScanComparison {
  readonly measure: FollowUpMeasure;
  /** The earlier scan onto the later, by what movements are told against. */
  readonly motion: RigidMotion;
  readonly toothMotions: readonly { readonly tooth: Tooth; readonly motion: RigidMotion }[];
  readonly deviation: ArchDeviation;
}

/** Parts of the whole, for the progress bar. */
const STARTS: Readonly<Record<ComparisonStage, number>> = {
  'earlier-crowns': 0,
  'later-crowns': 0.25,
  arch: 0.5,
  teeth: 0.58,
  walls: 0.8,
  deviation: 0.88,
  done: 1,
};

/**
 * What a later scan of the same arch says beside an earlier one: how each crown moved and turned, how much
 * enamel is gone from each proximal wall, and how far neighbours stand apart on both.
 *
 * Units:    mm, radians.
 * Refuses:  as `proposeMarks`; 'nothing-to-compare' (too few crowns on both); 'scans-unlike' (another patient, or the
 *           other jaw).
 * Accuracy: RMS 0.1 mm of enamel at a contact, 0.05 mm and 1° of movement, 0.08 mm of separation, generated and real
 *           crowns — tests/core/compare/compareScans.test.ts, tests/core/compare/realCrowns.test.ts.
 * Source:   our definitions, DEVELOPERS.md#later-scan.
 */
export function compareScans(
  earlierSaid: ScanSaid,
  laterSaid: ScanSaid,
  jaw: Jaw,
  onProgress: (progress: ComparisonProgress) => void = () => {},
): ScanComparison {
  const within = (stage: ComparisonStage, end: number) => (ratio: number) =>
    onProgress({ stage, doneRatio: STARTS[stage] + (end - STARTS[stage]) * ratio });
  const earlier = comparedScan(earlierSaid, jaw, within('earlier-crowns', STARTS['later-crowns']));
  const later = comparedScan(laterSaid, jaw, within('later-crowns', STARTS.arch));
  return compareCrowns(earlier, later, jaw, onProgress);
}

/** The comparison of two scans whose crowns are known. Refuses: 'nothing-to-compare', 'scans-unlike'. */
export function compareCrowns(
  earlier: ComparedScan,
  later: ComparedScan,
  jaw: Jaw,
  onProgress: (progress: ComparisonProgress) => void = () => {},
): ScanComparison {
  const tell = (stage: ComparisonStage, ratio = 0, end = 1): void =>
    onProgress({ stage, doneRatio: STARTS[stage] + (end - STARTS[stage]) * ratio });
  const teeth = teethOnBoth(earlier, later);
  refuseUnlike.tooFew(teeth, jaw);
  tell('arch');
  const arch = archRegistration(earlier, later, teeth);
  const laid = teeth.flatMap((tooth, i): LaidCrown[] => {
    tell('teeth', i / teeth.length, STARTS.walls);
    const found = toothRegistration(earlier, later, tooth, arch?.motion ?? null);
    return found ? [{ tooth, laid: found }] : [];
  });
  refuseUnlike.strangers(teeth, laid);
  const motionOf = ({ tooth, laid: { motion } }: LaidCrown) => ({
    tooth,
    centreMm: earlier.crowns.get(tooth)!.centreMm,
    motion,
  });
  const still = stillTeeth(laid.map(motionOf));
  tell('walls');
  const walls = laid.map(({ tooth, laid: own }) => ({
    tooth,
    sides: ([0, 1] as const).map((side) => wallChange(earlier, later, tooth, side, own)),
  }));
  const gone = new Map(walls.map(({ tooth, sides }) => [tooth, sides.map((wall) => wall.gone)]));
  const contacts = neighbours(laid.map(({ tooth }) => tooth)).map(([a, b]): ContactChange => {
    const sides = [facingSide(a, b), facingSide(b, a)] as const;
    const of = (tooth: Tooth) => laid.find((l) => l.tooth === tooth)!.laid;
    const wallOf = (tooth: Tooth, side: 0 | 1) => walls.find((w) => w.tooth === tooth)!.sides[side];
    const facing = [wallOf(a, sides[0]), wallOf(b, sides[1])] as const;
    const found = contactChange({
      teeth: [a, b],
      walls: facing,
      laid: [of(a), of(b)],
      separationBefore: separationOf(earlier, [a, b], [facing[0].earlier, facing[1].earlier]),
      separationAfter: separationOf(later, [a, b], [facing[0].later, facing[1].later]),
    });
    gone.get(a)![sides[0]] = found.gone[0];
    gone.get(b)![sides[1]] = found.gone[1];
    return found.change;
  });
  const changes = laid.map((crown): ToothChange => {
    const { sides } = walls.find((w) => w.tooth === crown.tooth)!;
    const [mesial, distal] = gone.get(crown.tooth)!;
    return {
      tooth: crown.tooth,
      widthChange: negated(sumOf(mesial, distal)),
      enamelGone: [mesial, distal],
      ...crownMovement(earlier, crown, still),
      residualRmsMm: crown.laid.rmsMm,
      doubts: sides.flatMap(({ doubts }) => doubts),
    };
  });
  tell('deviation');
  const motions = laid.map(({ tooth, laid: { motion } }) => ({ tooth, motion }));
  const deviation = archDeviation(earlier, later, still.motion, motions);
  const unmoved = laid.filter(({ tooth }) => still.reference.teeth.includes(tooth));
  const over = unmoved.length > 0 ? unmoved : laid;
  onProgress({ stage: 'done', doneRatio: 1 });
  return {
    measure: {
      jaw,
      earlierSha256: earlier.sha256,
      laterSha256: later.sha256,
      teeth: changes,
      contacts,
      reference: still.reference,
      residualRmsMm: Math.sqrt(over.reduce((s, { laid: { rmsMm } }) => s + rmsMm ** 2, 0) / over.length),
      matchedRatio: laid.reduce((s, { laid: { matchedRatio } }) => s + matchedRatio, 0) / laid.length,
    },
    motion: still.motion,
    toothMotions: motions,
    deviation,
  };
}

/** Contacts of teeth that stand side by side, none missing between. */
const neighbours = (teeth: readonly Tooth[]): readonly Contact[] =>
  contactsOf(teeth).filter(
    ([a, b]) => Math.abs(positionOf(a) - positionOf(b)) === 1 || (positionOf(a) === 1 && positionOf(b) === 1),
  );

const sumOf = (a: Estimate | null, b: Estimate | null): Estimate | null =>
  a && b && { valueMm: a.valueMm + b.valueMm, sdMm: Math.hypot(a.sdMm, b.sdMm) };

const negated = (e: Estimate | null): Estimate | null => e && { valueMm: 0 - e.valueMm, sdMm: e.sdMm };
