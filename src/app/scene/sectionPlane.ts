import type { ArchFrame } from '../../core/arch/ArchFrame.ts';
import { type Contact, isRight, type Jaw, type Tooth } from '../../core/base/tooth.ts';
import { add, mix, scale, type Vec3 } from '../../core/base/Vec3.ts';
import { localDirections } from '../../core/marks/localDirections.ts';
import type { Mark, MarkSite } from '../../core/marks/Mark.ts';
import { type ArchExtent, outwardAt, towardRightAt } from './archPlaces.ts';
import { type CameraView, upright } from './cameraView.ts';
import type { CutPlane } from './sectionOutline.ts';

/** What a section passes through: a contact's two points, or one site. */
export interface SectionPlace {
  readonly pointsMm: readonly [Vec3, Vec3] | null;
  readonly contact: Contact | null;
  readonly site: { readonly tooth: Tooth; readonly site: MarkSite; readonly pointMm: Vec3 } | null;
}

/** Directions at the middle of a section, unit, in the occlusal plane. */
export interface SectionDirections {
  readonly centreMm: Vec3;
  readonly outward: Vec3;
  readonly towardRight: Vec3; // along the arch toward the patient's right
}

/**
 * Directions of the arch at a contact; at a site of a tooth that has both its marks, those of the tooth itself,
 * so that a turned tooth is cut along its own width. Null where there is no place.
 */
export function sectionDirections(
  place: SectionPlace,
  marks: readonly Mark[],
  frame: ArchFrame,
  jaw: Jaw,
  extent: ArchExtent,
): SectionDirections | null {
  const centreMm = place.pointsMm ? mix(...place.pointsMm, 0.5) : (place.site?.pointMm ?? null);
  if (!centreMm) return null;
  const { site } = place;
  const own = site
    ? marks.filter((m) => m.tooth === site.tooth && (m.site === 'mesial' || m.site === 'distal'))
    : [];
  if (site && own.length === 2) {
    const { buccal, mesial, distal } = localDirections(frame, own, centreMm, site.tooth);
    return { centreMm, outward: buccal, towardRight: isRight(site.tooth) ? distal : mesial };
  }
  return {
    centreMm,
    outward: outwardAt(centreMm, frame, extent),
    towardRight: towardRightAt(centreMm, frame, jaw, extent),
  };
}

/**
 * The cutting plane of a section and the look straight at it. `along`: upright, following the arch line, the
 * outer side taken away. `across`: upright, between the two teeth of the contact, the neighbour taken away
 * (of a contact: the tooth further to the patient's right). `flipped` takes the other side away.
 */
export function sectionPlane(
  place: SectionPlace,
  directions: SectionDirections,
  kind: 'along' | 'across',
  flipped: boolean,
  offsetMm: number,
  frame: ArchFrame,
  jaw: Jaw,
): { readonly cut: CutPlane; readonly look: Pick<CameraView, 'toward' | 'up'> } {
  const { centreMm, outward, towardRight } = directions;
  const plain = kind === 'along' ? outward : scale(towardRight, place.site ? neighbourSide(place.site) : 1);
  const normal = flipped ? scale(plain, -1) : plain;
  const head = jaw === 'lower' ? frame.occlusal : scale(frame.occlusal, -1);
  return {
    cut: { pointMm: add(centreMm, scale(plain, offsetMm)), normal },
    look: { toward: normal, up: upright(head, normal) },
  };
}

/** +1 when the site faces the patient's right along the arch, −1 when it faces left. */
const neighbourSide = ({ tooth, site }: { tooth: Tooth; site: MarkSite }): 1 | -1 =>
  isRight(tooth) === (site === 'distal') ? 1 : -1;
