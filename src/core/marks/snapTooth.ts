import type { ArchFrame } from '../arch/ArchFrame.ts';
import { Refusal } from '../base/refusal.ts';
import type { Tooth } from '../base/tooth.ts';
import { cross, distance, dot, mix, type Vec3 } from '../base/Vec3.ts';
import { type ContactPoint, contactPoints, type SideGuess } from '../crowns/contactPoints.ts';
import type { ContactBeliefs } from '../crowns/contactSolve.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import { archTangent } from './archTangent.ts';
import { directionsAlong, inOcclusalPlane } from './localDirections.ts';

/** A point snapped to anatomy. */
export interface SnappedPoint {
  readonly pointMm: Vec3;
  readonly movedMm: number; // from the click
  readonly confidence: number; // 0–1
  readonly sdMm: number; // of the point along the mesiodistal direction
}

export interface ToothClicks {
  readonly index: SurfaceIndex;
  readonly frame: ArchFrame;
  readonly tooth: Tooth;
  readonly mesialMm: Vec3;
  readonly distalMm: Vec3;
}

/** Clicks farther than this from any surface are not on the scan. */
const NEAR_MM = 2;
/** SD along the wall of where a user clicks, and of a mark that was snapped before. */
export const CLICK_SD_MM = 0.35;
export const SNAPPED_SD_MM = 0.25;
const LEAST_SPAN_MM = 1.5;

/** Beliefs about a crown's axes; found on generated and real crowns, tests/core/marks/snapAccuracy.test.ts. */
const BELIEFS: Omit<ContactBeliefs, 'turnRad' | 'turnSdRad'> = {
  tiltSdRad: 0.04, // the direction lies in the occlusal plane by definition; how well that plane is known
  slopeSd: 0.1,
  seenRiseSd: 0.02,
  hiddenRiseSd: 0.15,
  facingSd: 0.15,
};
const TURN_SD_RAD = 0.15; // crowns stand along the arch but for this; a turn seen from two clicks is believed
const TURN_SD_ALONE_RAD = 0.3;

/** The click moved onto the surface. Refuses: 'no-surface-near'. */
export function onSurface(index: SurfaceIndex, clickMm: Vec3, caller: string): Vec3 {
  const hit = index.closestPoint(clickMm, NEAR_MM);
  if (!hit)
    throw new Refusal(
      'no-surface-near',
      `${caller}: no surface near the point; got nothing within ${NEAR_MM} mm, need the scan. Click on the tooth.`,
    );
  return hit.pointMm;
}

/** Result for one site; where no wall was found the click itself, on the surface, with low confidence. */
export function snapped(clickMm: Vec3, surfaceMm: Vec3, found: ContactPoint | null): SnappedPoint {
  if (!found)
    return { pointMm: surfaceMm, movedMm: distance(clickMm, surfaceMm), confidence: 0.1, sdMm: 0.4 };
  const movedMm = distance(clickMm, found.pointMm);
  const sure = Math.exp(-Math.max(0, found.sdMm - 0.035) / 0.12);
  const near = movedMm < 1 ? 1 : Math.max(0.3, 1.6 - 0.6 * movedMm);
  const confidence = sure * near * (found.fromInside ? 1 : 0.5);
  return { pointMm: found.pointMm, movedMm, confidence, sdMm: found.sdMm };
}

/** Contact points from one or two guesses, the first along `mesialOut` (its own outward direction). */
export function solveAlong(
  index: SurfaceIndex,
  frame: ArchFrame,
  guesses: readonly SideGuess[],
  out: Vec3,
  turn: Pick<ContactBeliefs, 'turnRad' | 'turnSdRad'>,
): readonly (ContactPoint | null)[] {
  return contactPoints(index, guesses, out, frame.occlusal, { ...BELIEFS, ...turn });
}

/** Both contact points of one tooth from two guesses that lie apart: mesial first. */
export function solvePair(
  index: SurfaceIndex,
  frame: ArchFrame,
  tooth: Tooth,
  mesial: SideGuess,
  distal: SideGuess,
): readonly (ContactPoint | null)[] {
  const middle = mix(mesial.pointMm, distal.pointMm, 0.5);
  const along = directionsAlong(frame, tooth, archTangent(index.mesh, frame, tooth, middle)).mesial;
  const [m, d] = [mesial.pointMm, distal.pointMm];
  const out = inOcclusalPlane(frame, [m[0] - d[0], m[1] - d[1], m[2] - d[2]], along);
  const turnRad = Math.atan2(dot(along, cross(frame.occlusal, out)), dot(along, out));
  return solveAlong(index, frame, [mesial, distal], out, {
    turnRad,
    turnSdRad: Math.hypot(TURN_SD_RAD, turnRad),
  });
}

/** One contact point from one guess, along the arch. */
export function solveAlone(
  index: SurfaceIndex,
  frame: ArchFrame,
  tooth: Tooth,
  site: 'mesial' | 'distal',
  guess: SideGuess,
): ContactPoint | null {
  const directions = directionsAlong(frame, tooth, archTangent(index.mesh, frame, tooth, guess.pointMm));
  const turn = { turnRad: 0, turnSdRad: TURN_SD_ALONE_RAD };
  return solveAlong(index, frame, [guess], directions[site], turn)[0];
}

/**
 * Snaps both contact points of a tooth at once; call it when the second of them is clicked, and move both
 * marks: two clicks tell the crown's own mesiodistal direction, which one click cannot.
 *
 * Units:    mm.
 * Refuses:  'no-surface-near' (a click off the scan), 'marks-coincide' (closer than LEAST_SPAN_MM).
 * Accuracy: width RMS error ≤ 0.10 mm, worst ≤ 0.40 mm from clicks 0.6 mm off — tests/core/marks/snapAccuracy.test.ts.
 * Source:   our definition, DEVELOPERS.md#contact-point.
 */
export function snapTooth({ index, frame, tooth, mesialMm, distalMm }: ToothClicks): {
  readonly mesial: SnappedPoint;
  readonly distal: SnappedPoint;
} {
  const mesial = onSurface(index, mesialMm, 'snapTooth');
  const distal = onSurface(index, distalMm, 'snapTooth');
  const spanMm = distance(mesial, distal);
  if (spanMm < LEAST_SPAN_MM)
    throw new Refusal(
      'marks-coincide',
      `snapTooth: the two points lie too close together; got ${spanMm.toFixed(2)} mm, need ${LEAST_SPAN_MM}. Mark the mesial and the distal side of the crown.`,
    );
  const [m, d] = solvePair(
    index,
    frame,
    tooth,
    { pointMm: mesial, placeSdMm: CLICK_SD_MM },
    { pointMm: distal, placeSdMm: CLICK_SD_MM },
  );
  return { mesial: snapped(mesialMm, mesial, m), distal: snapped(distalMm, distal, d) };
}
