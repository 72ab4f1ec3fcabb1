import { Refusal } from '../base/refusal.ts';
import { cross, dot, length, mix, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import { type ArchFrame, archFrame } from './ArchFrame.ts';

/** Least distance of the incisal point from the line through the molar points. */
const LEAST_DEPTH_MM = 3;
const LEAST_CHORD_MM = 3;

/**
 * The arch frame by hand: occlusal plane through two molar points (either order) and one incisal point,
 * up side kept from `current`, forward across the molar line toward the incisal point.
 *
 * Units:    mm in, unit vectors out; origin midway between the molars and the incisal point.
 * Refuses:  'marks-coincide' (points nearly on one line, or seen edge-on so that no side is up).
 * Source:   our definition, DEVELOPERS.md#arch-frame.
 */
export function frameFromThreePoints(
  current: ArchFrame,
  molarMm: Vec3,
  otherMolarMm: Vec3,
  incisalMm: Vec3,
): ArchFrame {
  const chord = subtract(otherMolarMm, molarMm);
  const chordMm = length(chord);
  const toIncisal = subtract(incisalMm, molarMm);
  const normal = cross(chord, toIncisal);
  const depthMm = chordMm > 0 ? length(normal) / chordMm : 0;
  if (chordMm < LEAST_CHORD_MM || depthMm < LEAST_DEPTH_MM)
    throw new Refusal(
      'marks-coincide',
      `frameFromThreePoints: the three points lie too close to one line; got a molar distance of ${chordMm.toFixed(1)} mm and a depth of ${depthMm.toFixed(1)} mm, need ${LEAST_CHORD_MM} mm each. Pick one point on each last molar and one on an incisor.`,
    );
  const side = dot(normal, current.occlusal);
  if (Math.abs(side) < 0.05 * length(normal))
    throw new Refusal(
      'marks-coincide',
      'frameFromThreePoints: the plane of the points stands upright in the present frame, so its up side is unknown; got an angle under 3°, need more. Turn the arch first.',
    );
  const occlusal = scale(normal, Math.sign(side));
  const middle = mix(molarMm, otherMolarMm, 0.5);
  const across = cross(occlusal, chord);
  const forward = scale(across, Math.sign(dot(across, subtract(incisalMm, middle))));
  return archFrame(mix(middle, incisalMm, 0.5), occlusal, forward);
}
