import { type Contact, contactsOf, type Jaw, positionOf, siteFacing, type Tooth } from '../base/tooth.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import type { ContactChange, FollowUpMeasure, ToothChange } from '../visits/FollowUp.ts';
import { type ArchDeviation, archDeviation } from './archDeviation.ts';
import { archRegistration, teethOnBoth } from './archRegistration.ts';
import { type ComparedScan, comparedScan, type ScanSaid } from './ComparedScan.ts';
import { crownMovement } from './crownMovement.ts';
import type { LaidOver } from './layOver.ts';
import { stillTeeth } from './movementReference.ts';
import { type WallChange, wallChange } from './proximalChange.ts';
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

/** One tooth laid over itself. */
export interface LaidCrown {
  readonly tooth: Tooth;
  readonly laid: LaidOver;
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
 * Refuses:  'not-an-arch'; 'jaw-mismatch' (a tooth said to be of the other jaw); 'nothing-to-compare' (too few crowns
 *           on both); 'scans-unlike' (another patient, or the other jaw).
 * Source:   our definitions, README.
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

/** The comparison of two scans whose crowns are known. Refuses: as compareScans. */
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
  const wallOf = (tooth: Tooth, site: 'mesial' | 'distal'): WallChange | null =>
    walls.find((w) => w.tooth === tooth)?.sides[site === 'mesial' ? 0 : 1] ?? null;
  const changes = laid.map((crown): ToothChange => {
    const [mesial, distal] = walls.find((w) => w.tooth === crown.tooth)!.sides;
    return {
      tooth: crown.tooth,
      widthChange: negated(sumOf(mesial.gone, distal.gone)),
      enamelGone: [mesial.gone, distal.gone],
      ...crownMovement(earlier, crown, still),
      residualRmsMm: crown.laid.rmsMm,
      doubts: [...mesial.doubts, ...distal.doubts],
    };
  });
  const contacts = neighbours(teeth).map(([a, b]): ContactChange => {
    const [onA, onB] = [wallOf(a, siteFacing(a, b)), wallOf(b, siteFacing(b, a))];
    return {
      teeth: [a, b],
      separationBefore: separationOf(earlier, [a, b]),
      separationAfter: separationOf(later, [a, b]),
      enamelGone: sumOf(onA?.gone ?? null, onB?.gone ?? null),
      doubts: [onA, onB].flatMap((wall) => wall?.doubts.map((d) => `${wall.tooth}: ${d}`) ?? []),
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
