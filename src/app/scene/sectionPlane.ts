import type { ArchFrame } from '../../core/arch/ArchFrame.ts';
import { type Contact, isRight, type Jaw, type Tooth } from '../../core/base/tooth.ts';
import { add, mix, scale, type Vec3 } from '../../core/base/Vec3.ts';
import type { MarkSite } from '../../core/marks/Mark.ts';
import { type ArchExtent, outwardAt, towardRightAt } from './archPlaces.ts';
import { type CameraView, upright } from './cameraView.ts';
import type { CutPlane } from './sectionOutline.ts';

/** What a section passes through: a contact's two points, or one site. */
export interface SectionPlace {
  readonly pointsMm: readonly [Vec3, Vec3] | null;
  readonly contact: Contact | null;
  readonly site: { readonly tooth: Tooth; readonly site: MarkSite; readonly pointMm: Vec3 } | null;
}

/**
 * The cutting plane of a section and the look straight at it. `along`: upright, following the arch line, the
 * cheek or lip side taken away. `across`: upright, between the two teeth of the contact, the neighbour taken
 * away, so that the proximal surface itself is seen. `flipped` takes the other side away.
 */
export function sectionPlane(
  place: SectionPlace,
  kind: 'along' | 'across',
  flipped: boolean,
  offsetMm: number,
  frame: ArchFrame,
  jaw: Jaw,
  extent: ArchExtent,
): { readonly cut: CutPlane; readonly look: Pick<CameraView, 'toward' | 'up'> } | null {
  const centreMm = place.pointsMm ? mix(...place.pointsMm, 0.5) : (place.site?.pointMm ?? null);
  if (!centreMm) return null;
  const outward = outwardAt(centreMm, frame, extent);
  const towardRight = towardRightAt(centreMm, frame, jaw, extent);
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
