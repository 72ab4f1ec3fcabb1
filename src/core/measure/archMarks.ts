import { type ArchFrame, directionInArch, pointInArch } from '../arch/ArchFrame.ts';
import { Refusal } from '../base/refusal.ts';
import { archPlace, isTooth, jawOf, type Tooth } from '../base/tooth.ts';
import { distance, normalize, subtract, type Vec2, type Vec3 } from '../base/Vec3.ts';
import { type MarkSite, markKey, type PlacedMark } from '../marks/Mark.ts';
import type { MeasureInput } from './ArchMeasures.ts';

/** The two contact points of one tooth nearer than this are one point; mm. */
const COINCIDENT_MM = 0.001;

/**
 * SD of a mark across the mesiodistal direction over its SD along it, where the input does not give it.
 * A proximal surface is nearly flat at its outermost point, so a mark slides sideways more easily than
 * mesiodistally. Assumption, no source; single displacements are known to repeat poorly (Macauley D et al.,
 * J Dent 2012;40:1127–1133: CV over 20 % in 516 of 600).
 */
export const ACROSS_RATIO = 2;

/** A mark made ready for measuring: in the arch frame, with its error. Lengths in mm. */
export interface ArchMark {
  readonly mark: PlacedMark;
  readonly tooth: Tooth;
  readonly site: MarkSite;
  readonly inArch: Vec3;
  readonly inPlane: Vec2;
  readonly along: Vec3 | null; // mesiodistal direction in the arch frame, unit; null: error alike in all directions
  readonly sdAlongMm: number;
  readonly sdAcrossMm: number;
}

/** The marks of one arch by tooth and site, and the teeth that carry any, from the patient's right to left. */
export interface ArchMarks {
  readonly frame: ArchFrame;
  readonly teeth: readonly Tooth[];
  find(tooth: Tooth, site: MarkSite): ArchMark | null;
}

const finite = (value: number): boolean => Number.isFinite(value);

function refuseBadInput(input: MeasureInput): void {
  const teeth = [...input.marks, ...input.enteredWidths].map((item) => item.tooth).concat(input.missing);
  for (const tooth of teeth) {
    if (!isTooth(tooth))
      throw new Refusal(
        'tooth-unknown',
        `measureArch: no such tooth; got ${tooth}, need an ISO 3950 number (11–48 or 51–85). Correct the tooth number.`,
        { tooth },
      );
    if (jawOf(tooth) !== input.jaw)
      throw new Refusal(
        'jaw-mismatch',
        `measureArch: tooth of the other jaw; got tooth ${tooth} (${jawOf(tooth)}), need teeth of the ${input.jaw} arch. Choose the right jaw or correct the tooth number.`,
        { tooth, jaw: input.jaw },
      );
  }
  const across = input.markSdAcrossMm ?? 0;
  if (![input.markSdMm, input.medianEdgeMm, across].every((mm) => mm >= 0 && finite(mm)))
    throw new Refusal(
      'number-invalid',
      `measureArch: mark error or mesh spacing is not a length; got ${input.markSdMm}, ${across} and ${input.medianEdgeMm} mm, need numbers from 0. Enter them again.`,
    );
  for (const { tooth, widthMm, sdMm } of input.enteredWidths)
    if (!(widthMm > 0) || !finite(widthMm) || !(sdMm >= 0) || !finite(sdMm))
      throw new Refusal(
        'number-invalid',
        `measureArch: entered width of tooth ${tooth} is not a length; got ${widthMm} ± ${sdMm} mm, need a width above 0 and an SD from 0. Enter it again.`,
        { tooth },
      );
}

function indexMarks(marks: readonly PlacedMark[]): Map<string, PlacedMark> {
  const byKey = new Map<string, PlacedMark>();
  for (const mark of marks) {
    if (!mark.pointMm.every(finite))
      throw new Refusal(
        'number-invalid',
        `measureArch: ${mark.site} mark of tooth ${mark.tooth} is not a point; got [${mark.pointMm}], need three finite numbers. Place the mark again.`,
        { tooth: mark.tooth, site: mark.site },
      );
    if (mark.sdMm !== undefined && !(mark.sdMm >= 0 && finite(mark.sdMm)))
      throw new Refusal(
        'number-invalid',
        `measureArch: SD of the ${mark.site} mark of tooth ${mark.tooth} is not a length; got ${mark.sdMm}, need a number from 0.`,
        { tooth: mark.tooth, site: mark.site },
      );
    if (byKey.has(markKey(mark)))
      throw new Refusal(
        'field-invalid',
        `measureArch: tooth ${mark.tooth} has two ${mark.site} marks; need one. Delete one of them.`,
        { tooth: mark.tooth, site: mark.site },
      );
    byKey.set(markKey(mark), mark);
  }
  return byKey;
}

/**
 * Marks of one arch, checked and made ready: arch-frame coordinates and an error for each.
 *
 * Error of a contact point: along the tooth's mesiodistal direction √(SD² + (h²/4w)²), the second part being
 * how far the outermost vertex of a mesh of spacing h falls short on a surface of radius w/2; across it
 * √(SDacross² + h²/12). Cusps, incisal edges and lone marks carry the larger error in every direction.
 *
 * Refuses:  'tooth-unknown', 'jaw-mismatch', 'marks-coincide', 'number-invalid', 'field-invalid' (mark twice).
 */
export function archMarks(input: MeasureInput): ArchMarks {
  refuseBadInput(input);
  const placed = indexMarks(input.marks);
  const seen = new Map<string, ArchMark>();
  for (const [key, mark] of placed) {
    const isContact = mark.site === 'mesial' || mark.site === 'distal';
    const mesial = placed.get(markKey({ tooth: mark.tooth, site: 'mesial' }));
    const distal = placed.get(markKey({ tooth: mark.tooth, site: 'distal' }));
    const sdMm = mark.sdMm ?? input.markSdMm;
    const across = mark.sdMm === undefined ? input.markSdAcrossMm : undefined;
    const sdAcrossMm = Math.hypot(across ?? ACROSS_RATIO * sdMm, input.medianEdgeMm / Math.sqrt(12));
    let along: Vec3 | null = null;
    let sdAlongMm = sdAcrossMm;
    if (isContact && mesial && distal) {
      const widthMm = distance(mesial.pointMm, distal.pointMm);
      if (widthMm < COINCIDENT_MM)
        throw new Refusal(
          'marks-coincide',
          `measureArch: mesial and distal marks of tooth ${mark.tooth} coincide; got ${widthMm.toFixed(4)} mm apart, need at least ${COINCIDENT_MM} mm. Move one of them.`,
          { tooth: mark.tooth },
        );
      along = directionInArch(input.frame, normalize(subtract(distal.pointMm, mesial.pointMm)));
      sdAlongMm = Math.hypot(sdMm, input.medianEdgeMm ** 2 / (4 * widthMm));
    }
    const inArch = pointInArch(input.frame, mark.pointMm);
    const { tooth, site } = mark;
    seen.set(key, {
      mark,
      tooth,
      site,
      inArch,
      inPlane: [inArch[0], inArch[1]],
      along,
      sdAlongMm,
      sdAcrossMm,
    });
  }
  const teeth = [...new Set(input.marks.map((mark) => mark.tooth))];
  return {
    frame: input.frame,
    teeth: teeth.sort((a, b) => archPlace(a) - archPlace(b) || a - b),
    find: (tooth, site) => seen.get(markKey({ tooth, site })) ?? null,
  };
}

/** Tooth of the jaw at a place: side 'right' or 'left' of the patient, position 1–8; the permanent one. */
export function toothAt(jaw: 'upper' | 'lower', side: 'right' | 'left', position: number): Tooth {
  const quadrant = jaw === 'upper' ? (side === 'right' ? 1 : 2) : side === 'right' ? 4 : 3;
  return quadrant * 10 + position;
}
