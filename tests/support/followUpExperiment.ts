import { findArchFrame } from '../../src/core/arch/findArchFrame.ts';
import { archOrder, contactsOf, type Jaw, positionOf, siteFacing } from '../../src/core/base/tooth.ts';
import type { Vec3 } from '../../src/core/base/Vec3.ts';
import { comparedScan } from '../../src/core/compare/ComparedScan.ts';
import {
  type ComparisonProgress,
  compareCrowns,
  type ScanComparison,
} from '../../src/core/compare/compareScans.ts';
import {
  motionAfter,
  motionBack,
  movedBy,
  type RigidMotion,
  turnVector,
} from '../../src/core/compare/RigidMotion.ts';
import type { Estimate } from '../../src/core/measure/ArchMeasures.ts';
import { surfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import type { ContactCut } from '../../src/samples/ArchChange.ts';
import { type BeforeAfter, makeBeforeAfter } from '../../src/samples/makeBeforeAfter.ts';
import { type FollowUpPair, preparedScan } from './followUpPair.ts';
import { makeMesh } from './meshes.ts';
import { makeRandom } from './random.ts';

/** Errors against truth, with the SD each was stated with; mm. */
export interface StatedError {
  readonly name: string;
  readonly error: number;
  readonly sd: number;
}

/** What one pair said wrong. */
export interface FollowUpErrors {
  readonly surfaces: readonly StatedError[]; // enamel gone from a wall
  readonly contacts: readonly StatedError[]; // from both walls of a contact
  readonly widths: readonly StatedError[];
  readonly before: readonly StatedError[]; // separations
  readonly after: readonly StatedError[];
  readonly movedMm: readonly number[]; // distance between true and found place of a crown's middle
  readonly turnedDeg: readonly number[]; // turn left between true and found pose
  readonly parts: readonly StatedError[]; // each of the three movements of each tooth as reported, mm
}

const againstTruth = (name: string, found: Estimate | null, truth: number): readonly StatedError[] =>
  found ? [{ name, error: found.valueMm - truth, sd: found.sdMm }] : [];

/** Share of the errors within a number of their own SDs. */
export const withinSd = (errors: readonly StatedError[], sds: number): number =>
  errors.filter(({ error, sd }) => Math.abs(error) <= sds * sd).length / errors.length;

export const errorsOf = (stated: readonly StatedError[]): readonly number[] =>
  stated.map(({ error }) => error);

/** A difference between two motions of a crown, at its middle. */
function motionError(found: RigidMotion, truth: RigidMotion, centreMm: Vec3): { mm: number; deg: number } {
  const left = motionAfter(found, motionBack(truth));
  const at = movedBy(truth, centreMm);
  const to = movedBy(left, at);
  return {
    mm: Math.hypot(to[0] - at[0], to[1] - at[1], to[2] - at[2]),
    deg: (Math.hypot(...turnVector(left)) * 180) / Math.PI,
  };
}

/** A crowded arch cut by known amounts and aligned; what is cut beyond the crowding stays as a gap in front. */
export function generatedPair(jaw: Jaw, seed: number, gapMm = 0.4, bridgedContacts = true): BeforeAfter {
  const random = makeRandom(100 * seed + (jaw === 'upper' ? 1 : 2));
  const teeth = archOrder(jaw).filter((tooth) => positionOf(tooth) < 8);
  const cuts: ContactCut[] = contactsOf(teeth)
    .filter((contact) => contact.every((tooth) => positionOf(tooth) <= 6))
    .map((contact) => ({
      teeth: contact,
      goneMm: [Math.round(3.4 * random()) / 10, Math.round(3.4 * random()) / 10],
    }));
  const total = cuts.reduce((sum, { goneMm: [a, b] }) => sum + a + b, 0);
  return makeBeforeAfter(
    { jaw, seed, crowdingMm: total - gapMm, noiseMm: 0.012, bridgedContacts, pose: 'any' },
    { cuts },
  );
}

const SAID = { missing: [], unerupted: [], thirdMolars: [] };

/** A generated pair compared as two opened files are. */
export function compareGenerated(
  { before, after }: Pick<BeforeAfter, 'before' | 'after'>,
  jaw: Jaw,
  onProgress?: (progress: ComparisonProgress) => void,
): ScanComparison {
  const [earlier, later] = [before, after].map(({ mesh }, i) => {
    const scan = makeMesh(mesh.positions, mesh.indices);
    const { frame } = findArchFrame(scan);
    return comparedScan({ sha256: `${i}`, index: surfaceIndex(scan), frame, said: SAID }, jaw);
  });
  return compareCrowns(earlier, later, jaw, onProgress);
}

export function generatedErrors(comparison: ScanComparison, { change }: BeforeAfter): FollowUpErrors {
  const { measure, motion, toothMotions } = comparison;
  const toothOf = (tooth: number) => change.teeth.find((t) => t.tooth === tooth)!;
  const contactOf = ([a, b]: readonly [number, number]) =>
    change.contacts.find(({ teeth }) => teeth[0] === a && teeth[1] === b)!;
  const motions = toothMotions.map(({ tooth, motion: own }) => {
    const { rotation, translationMm } = toothOf(tooth).motion;
    const truth = { turn: rotation, shiftMm: translationMm };
    return motionError(motionAfter(motionBack(motion), own), truth, toothOf(tooth).centreMm);
  });
  return {
    surfaces: measure.teeth.flatMap(({ tooth, enamelGone }) =>
      enamelGone.flatMap((gone, k) => againstTruth(`${tooth}`, gone, toothOf(tooth).enamelGoneMm[k])),
    ),
    contacts: measure.contacts.flatMap(({ teeth, enamelGone }) =>
      againstTruth(teeth.join('|'), enamelGone, contactOf(teeth).enamelGoneMm),
    ),
    widths: measure.teeth.flatMap(({ tooth, widthChange }) =>
      againstTruth(`${tooth}`, widthChange, toothOf(tooth).widthAfterMm - toothOf(tooth).widthBeforeMm),
    ),
    before: measure.contacts.flatMap(({ teeth, separationBefore }) =>
      againstTruth(teeth.join('|'), separationBefore, contactOf(teeth).separationBeforeMm),
    ),
    after: measure.contacts.flatMap(({ teeth, separationAfter }) =>
      againstTruth(teeth.join('|'), separationAfter, contactOf(teeth).separationAfterMm),
    ),
    movedMm: motions.map(({ mm }) => mm),
    turnedDeg: motions.map(({ deg }) => deg),
    parts: measure.teeth.flatMap(({ tooth, movedMm, movedSdMm }) =>
      movedMm.map((part, k) => ({
        name: `${tooth}`,
        error: part - toothOf(tooth).movedMm[k],
        sd: movedSdMm,
      })),
    ),
  };
}

/** What a comparison of real crowns says wrong; the makings lie in the arch frame, which is the earlier scan's own. */
export function realErrors(
  pair: FollowUpPair,
): Pick<FollowUpErrors, 'surfaces' | 'contacts' | 'movedMm' | 'turnedDeg'> & { comparison: ScanComparison } {
  const earlier = preparedScan(pair.earlier, pair.jaw, 'earlier');
  const comparison = compareCrowns(earlier, preparedScan(pair.later, pair.jaw, 'later'), pair.jaw);
  const { measure, motion, toothMotions } = comparison;
  const truthOf = (tooth: number) => pair.truths.find((t) => t.tooth === tooth)!;
  const cutOf = (tooth: number, neighbour: number) =>
    truthOf(tooth).cutMm[siteFacing(tooth, neighbour) === 'mesial' ? 0 : 1];
  const motions = toothMotions.map(({ tooth, motion: own }) =>
    motionError(motionAfter(motionBack(motion), own), truthOf(tooth).motion, truthOf(tooth).centreMm),
  );
  return {
    comparison,
    surfaces: measure.teeth.flatMap(({ tooth, enamelGone }) =>
      enamelGone.flatMap((gone, k) => againstTruth(`${tooth}`, gone, truthOf(tooth).cutMm[k])),
    ),
    contacts: measure.contacts.flatMap(({ teeth: [a, b], enamelGone }) =>
      againstTruth(`${a}|${b}`, enamelGone, cutOf(a, b) + cutOf(b, a)),
    ),
    movedMm: motions.map(({ mm }) => mm),
    turnedDeg: motions.map(({ deg }) => deg),
  };
}
