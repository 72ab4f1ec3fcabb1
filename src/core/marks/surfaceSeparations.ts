import type { ArchFrame } from '../arch/ArchFrame.ts';
import { type Contact, contactsOf, siteFacing, type Tooth } from '../base/tooth.ts';
import { cross, distance, dot, mix, normalize, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import { crownStarts, facingWalls, fusedRatio } from '../crowns/facingWalls.ts';
import type { LocalAxes } from '../crowns/localPatch.ts';
import { wallDistance } from '../crowns/wallDistance.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import type { Mark, MarkSite } from './Mark.ts';

/** Separation of two neighbours as their surfaces show it. */
export interface SurfaceSeparation {
  readonly teeth: Contact;
  readonly separationMm: number; // 0 where the crowns are joined
  readonly sdMm: number;
}

/** The four marks a separation on the surface starts from. */
export interface ContactMarks {
  readonly nearMm: readonly [Vec3, Vec3]; // the facing contact points
  readonly farMm: readonly [Vec3, Vec3]; // the teeth's other contact points: they tell the way across
}

const NARROW_MM = 0.28; // width of the patches fitted where the walls come nearest
const BROAD_MM = 0.45; // where little of them can be seen
const LEAST_SEEN = 0.5; // share of the wall round the nearest place
const WIDELY_JOINED = 0.28; // share of rays from crown to crown that never leave them
const NEARLY_TOUCHING_MM = 0.1; // by the marks
const BEYOND_MARKS_MM = 0.15; // crowns are no farther apart than two of their points

/** SD where crowns are joined: a web hides about this much. */
const JOINED = { separationMm: 0, sdMm: 0.1 };
const STEEPEST = 0.3; // a gap that narrows more than this toward one side is nearest elsewhere
const ASTRAY_MM = 0.7; // a search that leaves the place it began with found no nearest place there
const SEEN_SD_MM = 0.045;
const LITTLE_SEEN_SD_MM = 0.1;
const SLOPE_SD_MM = 0.3; // per unit of slope
const WEB_FROM_MM = 0.4; // gaps narrower than this are narrowed further by webs
const WEB_SD_RATIO = 0.25;

/**
 * Least free distance between two neighbouring crowns, measured on their surfaces; 0 where they are joined, by
 * touching or by a scanner's web. Marks only say where to look and which way; labels are not needed. Null where the
 * surface does not decide: a small web where the marks leave a gap, walls hidden by gum. There the marks must speak.
 *
 * Not taken: nearest surfaces of labelled crowns (good to 0.04 mm on upper spaced arches, but labels run into
 * papillae on lower ones, and labelled crowns that touch share vertices); shortest rays along the row of teeth
 * (off by up to 0.46 mm where neighbours stand out of line); walls carried on as one quadratic from where the gap
 * is wider than 0.6 mm (0.25 to 0.5 mm RMS: the nearest place wanders); the nearest pair of points itself
 * (0.04 to 0.06 mm where the fitted patches have 0.03 to 0.05).
 *
 * On 30 generated arches the surface showed 55 of 83 gaps of 0.1 to 1 mm (RMS 0.06 mm), joined 278 contacts (3 of them up
 * to 0.23 mm apart under a web) and left 62 to the marks; on 26 contacts of real crowns 18 gaps, RMS 0.013 mm.
 *
 * Units:    mm.
 * Accuracy: RMS 0.08 mm; where crowns touch one gap above 0.15 mm in 307 — tests/core/marks/surfaceSeparations.test.ts.
 * Source:   our definition, DEVELOPERS.md#separation.
 */
export function surfaceSeparationMm(
  index: SurfaceIndex,
  { occlusal }: ArchFrame,
  { nearMm: [a, b], farMm }: ContactMarks,
): Omit<SurfaceSeparation, 'teeth'> | null {
  const outOf = (near: Vec3, far: Vec3): Vec3 => {
    const way = subtract(near, far);
    const flat = subtract(way, scale(occlusal, dot(way, occlusal)));
    return scale(flat, 1 / Math.max(1e-9, Math.hypot(...flat)));
  };
  const mean = subtract(outOf(a, farMm[0]), outOf(b, farMm[1]));
  if (Math.hypot(...mean) < 0.2) return null;
  const out = normalize(mean);
  const axes: LocalAxes = { originMm: mix(a, b, 0.5), out, up: occlusal, aside: cross(occlusal, out) };
  const byMarksMm = dot(subtract(b, a), out);
  const starts = crownStarts(index, axes);
  const joined = fusedRatio(index, axes, starts, axes.originMm, Math.max(0, -byMarksMm / 2));
  if (joined > 0) return joined >= WIDELY_JOINED || byMarksMm < NEARLY_TOUCHING_MM ? JOINED : null;
  const walls = facingWalls(index, axes, starts, -byMarksMm / 2);
  const narrow = wallDistance(walls, occlusal, NARROW_MM);
  const found = narrow ?? wallDistance(walls, occlusal, BROAD_MM);
  if (!found) return null;
  const { distanceMm, pointsMm, fits, movedMm, slope } = found;
  if (fusedRatio(index, axes, starts, mix(pointsMm[0], pointsMm[1], 0.5)) > 0)
    return byMarksMm < NEARLY_TOUCHING_MM ? JOINED : null;
  if (fits.some((fit) => fit.filledRatio < LEAST_SEEN) || slope > STEEPEST || movedMm > ASTRAY_MM)
    return null;
  if (distanceMm < 0 || distanceMm > distance(a, b) + BEYOND_MARKS_MM) return null;
  const seenSdMm = narrow ? SEEN_SD_MM : LITTLE_SEEN_SD_MM;
  const webSdMm = WEB_SD_RATIO * Math.max(0, WEB_FROM_MM - distanceMm);
  return { separationMm: distanceMm, sdMm: Math.hypot(seenSdMm, webSdMm, SLOPE_SD_MM * slope) };
}

/** The marks of a contact; null where one of the four is not set. */
export function contactMarks(marks: readonly Mark[], [toothA, toothB]: Contact): ContactMarks | null {
  const at = (tooth: Tooth, site: MarkSite): Vec3 | undefined =>
    marks.find((mark) => mark.tooth === tooth && mark.site === site)?.pointMm;
  const siteA = siteFacing(toothA, toothB);
  const siteB = siteFacing(toothB, toothA);
  const other = (site: MarkSite): MarkSite => (site === 'mesial' ? 'distal' : 'mesial');
  const [a, b] = [at(toothA, siteA), at(toothB, siteB)];
  const [farA, farB] = [at(toothA, other(siteA)), at(toothB, other(siteB))];
  return a && b && farA && farB ? { nearMm: [a, b], farMm: [farA, farB] } : null;
}

/** Neighbours among the teeth that carry marks. */
export const markedContacts = (marks: readonly Mark[]): readonly Contact[] =>
  contactsOf([...new Set(marks.map((mark) => mark.tooth))]);

/** Separations of those contacts that the surface decides. */
export const surfaceSeparations = (
  index: SurfaceIndex,
  frame: ArchFrame,
  marks: readonly Mark[],
): readonly SurfaceSeparation[] =>
  markedContacts(marks).flatMap((teeth) => {
    const own = contactMarks(marks, teeth);
    const found = own && surfaceSeparationMm(index, frame, own);
    return found ? [{ teeth, ...found }] : [];
  });
